import { expect, test } from 'vitest'
import { band, ellipse95, frameAt } from './ellipse'

test('an ellipse lies along its errors', () => {
  const round = ellipse95(2, 2, 0)
  expect(round.a).toBeCloseTo(round.b)
  const wide = ellipse95(3, 1, 0)
  expect(wide.turnDeg).toBeCloseTo(0)
  expect(wide.a / wide.b).toBeCloseTo(3)
  expect(ellipse95(1, 3, 0).turnDeg).toBeCloseTo(90)
  expect(ellipse95(1, 1, 0.5).turnDeg).toBeCloseTo(45)
  // Errors that go together wholly leave a line.
  expect(ellipse95(1, 1, 1).b).toBeCloseTo(0)
})

test('the frame of a time is the last that is not later', () => {
  const times = [0, 0.5, 1]
  expect([-1, 0, 0.49, 0.5, 0.9, 1, 7].map((t) => frameAt(times, t))).toEqual([0, 0, 0, 1, 1, 2, 2])
})

test('a band stands at right angles to the line', () => {
  const outline = band([0, 10], [0, 10], [0, 90], [1, 2])
  expect(outline[0]).toEqual([1, 0])
  expect(outline[1]![0]).toBeCloseTo(10)
  expect(outline[1]![1]).toBeCloseTo(8)
  expect(outline).toHaveLength(4)
})
