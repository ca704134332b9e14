import { describe, expect, it } from 'vitest'
import { cursorAfterKey, dialAfterKey, dialAtPointer } from './keys'

describe('dial', () => {
  it('steps by 5°, finely with Shift, and goes round', () => {
    expect(dialAfterKey('ArrowRight', false, 10, 360)).toBe(15)
    expect(dialAfterKey('ArrowLeft', true, 0, 360)).toBe(359)
    expect(dialAfterKey('ArrowUp', false, 178, 180)).toBe(3)
    expect(dialAfterKey('PageDown', false, 5, 120)).toBe(110)
    expect(dialAfterKey('Home', false, 77, 360)).toBe(0)
    expect(dialAfterKey('x', false, 77, 360)).toBeNull()
  })

  it('follows the pointer counter-clockwise from the right, as angles are counted from above', () => {
    expect(dialAtPointer(1, 0, 360)).toBe(0)
    expect(dialAtPointer(0, -1, 360)).toBe(90)
    expect(dialAtPointer(0, 1, 360)).toBe(270)
    expect(dialAtPointer(0, 1, 180)).toBe(90)
  })
})

describe('cursor', () => {
  it('moves over the disc and stops at the rim', () => {
    expect(cursorAfterKey('ArrowUp', false, { x: 0, y: 0 })).toEqual({ x: 0, y: 0.05 })
    expect(cursorAfterKey('ArrowLeft', true, { x: 0.1, y: 0 })).toEqual({ x: -0.1, y: 0 })
    const rim = cursorAfterKey('ArrowRight', true, { x: 0.95, y: 0.2 })!
    expect(Math.hypot(rim.x, rim.y)).toBeCloseTo(1, 12)
    expect(cursorAfterKey('Home', false, { x: 0.5, y: 0.5 })).toEqual({ x: 0, y: 0 })
    expect(cursorAfterKey('Enter', false, { x: 0, y: 0 })).toBeNull()
  })
})
