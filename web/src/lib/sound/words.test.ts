import { describe, expect, it } from 'vitest'
import type { TouchAnswer } from '$lib/api'
import { inShort, placeOf, told } from './words'

const answer = (a: Partial<TouchAnswer>) =>
  ({ kind: 'touch', unsure: false, zone: 'tip', probabilities: [0.004, 0.996], ...a }) as TouchAnswer
const zones = ['root', 'tip']

describe('what was told of a touch', () => {
  it('names zone, probability, place and interval', () => {
    const a = answer({ position_mm: 71.6, position_low_mm: 64.2, position_high_mm: 80 })
    expect(inShort(a, zones)).toBe('tip (99.6\u00a0%), 72\u202fmm, 64 to 80')
    expect(told(a, zones, 70, 0.9)).toBe(
      'Told: tip 99.6\u00a0%. Place 72\u202fmm, 64 to 80 mm (90\u00a0% interval). It really was at 70 mm.',
    )
  })
  it('says not sure before anything else', () => {
    expect(inShort(answer({ unsure: true }), zones)).toBe('not sure')
    expect(told(answer({ unsure: true }), zones, undefined, 0.9)).toMatch(
      /^Not sure: .*nearest guess would be tip\.$/,
    )
  })
  it('tells no place while nothing was learnt', () => {
    const a = answer({ zone: undefined, probabilities: undefined })
    expect(inShort(a, [])).toBe('something touched')
    expect(told(a, [], undefined, 0.9)).toMatch(/no place is told/)
    expect(told(undefined, [], undefined, 0.9)).toBe('Nothing was heard yet.')
    expect(placeOf(a)).toBe('–')
  })
})
