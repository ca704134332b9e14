import { expect, test } from 'vitest'
import { niceTicks } from './axis'

test('ticks are round, evenly apart and reach over both ends', () => {
  for (const [low, high] of [
    [0, 1],
    [-3.2, 47.1],
    [110, 138],
    [0, 0.0007],
    [-5, -5],
  ] as const) {
    const ticks = niceTicks(low, high, 6)
    expect(ticks.length).toBeGreaterThan(2)
    expect(ticks.length).toBeLessThan(12)
    expect(ticks[0]!).toBeLessThanOrEqual(low)
    expect(ticks.at(-1)!).toBeGreaterThanOrEqual(high)
    const step = ticks[1]! - ticks[0]!
    for (let i = 2; i < ticks.length; i++) expect(ticks[i]! - ticks[i - 1]!).toBeCloseTo(step, 9)
  }
  expect(niceTicks(NaN, 1, 5)).toEqual([])
})
