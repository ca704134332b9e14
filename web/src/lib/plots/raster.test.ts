import { describe, expect, it } from 'vitest'
import { OUTSIDE, Raster, layerName } from './raster'

const layers = [
  'p',
  'low',
  'high',
  'blurred',
  'mean',
  'mean_low',
  'mean_high',
  'mean_blurred',
  'best',
  'best_low',
  'best_high',
  'best_blurred',
]

/** A raster of 4 headings over half a turn; p at heading h is h/4 everywhere, with a corner outside. */
function bytes(size: number, headings: number): ArrayBuffer {
  const n = size * size
  const data = new Uint16Array(n * (4 * headings + 8))
  for (let l = 0; l < 4; l++) {
    for (let h = 0; h < headings; h++) {
      for (let i = 0; i < n; i++) data[(l * headings + h) * n + i] = Math.round((h / headings) * 65534)
    }
  }
  for (let l = 0; l < 8; l++) data.fill((l + 1) * 1000, (4 * headings + l) * n, (4 * headings + l + 1) * n)
  for (let k = 0; k < data.length; k += n) data[k] = OUTSIDE
  return data.buffer
}

describe('raster', () => {
  const info = { size: 4, headings: 4, layers }
  const raster = Raster.decode(bytes(4, 4), info, 2)

  it('finds every layer where the wire puts it', () => {
    expect(raster.periodDeg).toBe(180)
    expect(raster.at('heading', 'blurred', 135, 2, 2)).toBeCloseTo(0.75, 4)
    expect(raster.at('mean', 'p', 0, 2, 2)).toBeCloseTo(1000 / 65534, 9)
    expect(raster.at('mean', 'high', 77, 2, 2)).toBeCloseTo(3000 / 65534, 9)
    expect(raster.at('best', 'blurred', 0, 2, 2)).toBeCloseTo(8000 / 65534, 9)
  })

  it('goes linearly between headings and round the period without a seam', () => {
    expect(raster.at('heading', 'p', 22.5, 2, 2)).toBeCloseTo(0.125, 4)
    expect(raster.at('heading', 'p', 180 + 22.5, 2, 2)).toBeCloseTo(0.125, 4)
    expect(raster.at('heading', 'p', -22.5, 2, 2)).toBeCloseTo(0.375, 4) // between the last (0.75) and the first (0)
  })

  it('says nothing outside the disc', () => {
    expect(raster.at('heading', 'p', 0, 0, 0)).toBeNull()
    expect(raster.at('heading', 'p', 0, 9, 0)).toBeNull()
    const field = new Float32Array(16)
    expect(raster.blend('heading', 'p', 45, field)).toBe(true)
    expect(field[0]).toBeNaN()
    expect(field[5]).toBeCloseTo(0.25, 4)
  })

  it('samples between pixels and never mixes the outside in', () => {
    expect(raster.sample('heading', 'p', 45, 0, 0)).toBeCloseTo(0.25, 4)
    expect(raster.sample('heading', 'p', 45, -0.7, 0.7)).toBeCloseTo(0.25, 4) // beside the outside corner
  })

  it('rows run from the top, columns from the left', () => {
    const data = new Uint16Array(bytes(4, 1))
    data[1 * 4 + 2] = 65534 // second row, third column: above the middle, right of it
    const one = Raster.decode(data.buffer, { size: 4, headings: 1, layers }, 1)
    expect(one.sample('heading', 'p', 0, 0.25, 0.25)).toBeCloseTo(1, 4)
    expect(one.sample('heading', 'p', 0, -0.25, -0.25)).toBeCloseTo(0, 4)
  })

  it('refuses bytes that do not fit, and says so', () => {
    expect(() => Raster.decode(new ArrayBuffer(10), info, 1)).toThrow(/should have 768 bytes but has 10/)
    expect(() => Raster.decode(new ArrayBuffer(0), { size: 0, headings: 4, layers }, 1)).toThrow(
      /must be positive/,
    )
  })

  it('names layers as the wire does', () => {
    expect(layerName('heading', 'low')).toBe('low')
    expect(layerName('best', 'p')).toBe('best')
    expect(layerName('mean', 'blurred')).toBe('mean_blurred')
  })

  it('leaves a missing layer alone', () => {
    const bare = Raster.decode(new Uint16Array(16).buffer, { size: 4, headings: 1, layers: ['p'] }, 1)
    expect(bare.has('low')).toBe(false)
    expect(bare.at('best', 'p', 0, 1, 1)).toBeNull()
    expect(bare.blend('heading', 'low', 0, new Float32Array(16))).toBe(false)
  })
})
