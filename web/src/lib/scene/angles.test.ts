import { describe, expect, it } from 'vitest'
import { usualView, viewAfterDrag, viewAfterKey } from './angles'

describe('looking around', () => {
  it('turns with the arrow keys and comes back with Home', () => {
    const turned = viewAfterKey('ArrowRight', usualView)!
    expect(turned.turnDeg).toBe(usualView.turnDeg + 10)
    expect(viewAfterKey('ArrowLeft', turned)).toEqual(usualView)
    expect(viewAfterKey('Home', { turnDeg: 1, heightDeg: 2, zoom: 2 })).toEqual(usualView)
  })

  it('leaves other keys to the page', () => {
    for (const key of ['1', 'a', 'Enter', 'Tab', 'Escape']) expect(viewAfterKey(key, usualView)).toBeNull()
  })

  it('never turns over the top, however far one drags', () => {
    expect(viewAfterDrag(usualView, 0, 1e4).heightDeg).toBe(88)
    expect(viewAfterDrag(usualView, 0, -1e4).heightDeg).toBe(-5)
    let v = usualView
    for (let i = 0; i < 50; i++) v = viewAfterKey('+', v)!
    expect(v.zoom).toBe(0.45)
  })
})
