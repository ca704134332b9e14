import { describe, expect, test } from 'vitest'
import { OUTSIDE, differenceAt, differenceColour, pictureAt, pointsText, scaleOf, signs } from './difference'

const size = 5
const inside = (i: number) =>
  Math.hypot((2 * (i % size) + 1) / size - 1, (2 * Math.floor(i / size) + 1) / size - 1) <= 1
const picture = (v: number) => Array.from({ length: size * size }, (_, i) => (inside(i) ? v : OUTSIDE))
const m = {
  size,
  headings: 4,
  heading_fold: 3,
  points: [picture(100), picture(-200), picture(0), picture(340), picture(50)],
  clear: [1, -2, 0, 1, 0].map((c) => Array.from({ length: size * size }, (_, i) => (inside(i) ? c : 0))),
}

describe('pictures of a difference', () => {
  test('the nearest heading is shown, and headings wrap after one period', () => {
    expect(pictureAt(m, 'heading', 0)).toBe(0)
    expect(pictureAt(m, 'heading', 31)).toBe(1)
    expect(pictureAt(m, 'heading', 118)).toBe(0)
    expect(pictureAt(m, 'heading', -30)).toBe(3)
    expect(pictureAt(m, 'mean', 77)).toBe(4)
  })
  test('a point of the disc reads its pixel, and nothing is outside', () => {
    expect(differenceAt(m, 1, 0, 0)).toEqual({ difference: -0.2, clear: -2 })
    expect(differenceAt(m, 1, 0.69, 0.69)).toEqual({ difference: -0.2, clear: -2 })
    expect(differenceAt(m, 1, 0.9, 0.9)).toBeNull()
  })
  test('the scale holds all that is drawn', () => {
    expect(scaleOf(m)).toBe(0.4)
    expect(scaleOf({ ...m, points: [picture(12)] })).toBe(0.2)
  })
  test('orange for A, purple for B, near white for none', () => {
    const [ra, , ba] = differenceColour(0.4, 0.4)
    const [rb, , bb] = differenceColour(-0.4, 0.4)
    expect(ra).toBeGreaterThan(ba)
    expect(bb).toBeGreaterThan(rb)
    expect(Math.min(...differenceColour(0, 0.4))).toBeGreaterThan(225)
  })
  test('signs stand only where it is clear', () => {
    expect(signs(m, 2)).toEqual([])
    expect(signs(m, 0, 2).every((s) => s.plus)).toBe(true)
    expect(signs(m, 1, 2).some((s) => s.plus)).toBe(false)
    expect(signs(m, 1, 2).every((s) => s.sure)).toBe(true)
    expect(signs(m, 0, 2).some((s) => s.sure)).toBe(false)
  })
  test('points carry their sign', () => {
    expect(pointsText(0.123)).toBe('+12 points')
    expect(pointsText(-0.005, 1)).toBe('−0.5 points')
    expect(pointsText(0.0001)).toBe('0 points')
  })
})
