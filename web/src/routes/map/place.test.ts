import { expect, test } from 'vitest'
import { bestHeading, inWords, valuesAt } from './place'

// Four headings over half a turn, of which the third is best.
const raster = {
  headings: 4,
  periodDeg: 180,
  sample: (_view: string, layer: string, headingDeg: number, x: number) =>
    x > 1 ? null : layer === 'p' ? 0.9 - Math.abs(headingDeg - 90) / 200 : 0.5,
}

test('the best heading is the one with the most, off the disc the first', () => {
  expect(bestHeading(raster, { x: 0, y: 0 })).toBe(90)
  expect(bestHeading(raster, { x: 2, y: 0 })).toBe(0)
})

test('values are those of the place, or none off the disc', () => {
  expect(valuesAt(raster, 'heading', 90, { x: 0, y: 0 })).toEqual({
    p: 0.9,
    low: 0.5,
    high: 0.5,
    blurred: 0.5,
  })
  expect(valuesAt(raster, 'heading', 90, { x: 2, y: 0 })).toBeNull()
})

test('a place is said in words', () => {
  expect(inWords({ tiltDeg: 20.4, azimuthDeg: -90, headingDeg: 0 }, { p: 0.9, low: 0.8, high: 0.95 })).toBe(
    'Tilt 20 degrees, azimuth 270: 90\u00a0% held, 80\u00a0% to 95\u00a0%',
  )
})
