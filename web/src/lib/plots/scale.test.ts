import { describe, expect, test } from 'vitest'
import { linear, ticks } from './scale'

describe('scales', () => {
  test('ends land on ends, and ticks are round and inside', () => {
    const s = linear(-8, 12, 40, 240)
    expect([s(-8), s(2), s(12)]).toEqual([40, 140, 240])
    expect(s.ticks).toEqual([-5, 0, 5, 10])
    expect(ticks(0, 1)).toEqual([0, 0.2, 0.4, 0.6, 0.8, 1])
    expect(ticks(0.1, 0.35)).toEqual([0.1, 0.15, 0.2, 0.25, 0.3, 0.35])
  })
  test('a single value stands in the middle', () => {
    expect(linear(3, 3, 0, 10)(3)).toBe(5)
  })
})
