import { beforeAll, describe, expect, it } from 'vitest'
import { cividis, inkOn, level, successColour } from './colour'
import { DARK, DiscPainter, HATCH_SPACING, LIGHT, NONE, hatchAt, nearestInside } from './painter'
import { OUTSIDE, Raster } from './raster'

beforeAll(() => {
  // The test environment has no canvas; a painter needs only the bytes.
  class Bytes {
    readonly data: Uint8ClampedArray
    readonly width: number
    readonly height: number
    constructor(width: number, height: number) {
      this.width = width
      this.height = height
      this.data = new Uint8ClampedArray(width * height * 4)
    }
  }
  globalThis.ImageData ??= Bytes as unknown as typeof ImageData
})

const size = 32

/** Left half certain (interval 0.1 wide), right half not (0.6 wide); p is 0.25 everywhere. */
function halfCertain(): Raster {
  const n = size * size
  const data = new Uint16Array(n * 3)
  for (let i = 0; i < n; i++) {
    const column = i % size
    const row = (i - column) / size
    const x = (2 * (column + 0.5)) / size - 1
    const y = (2 * (row + 0.5)) / size - 1
    const outside = Math.hypot(x, y) > 1
    const half = x < 0 ? 0.05 : 0.3
    data[i] = outside ? OUTSIDE : Math.round(0.25 * 65534)
    data[n + i] = outside ? OUTSIDE : Math.round((0.35 - half) * 65534)
    data[2 * n + i] = outside ? OUTSIDE : Math.round((0.35 + half) * 65534)
  }
  return Raster.decode(data.buffer, { size, headings: 1, layers: ['p', 'low', 'high'] }, 1)
}

function pixel(image: ImageData, column: number, row: number): number[] {
  const k = (row * image.width + column) * 4
  return [...image.data.slice(k, k + 4)]
}

describe('cividis', () => {
  it('runs from dark blue to yellow with lightness that only rises', () => {
    // Ends as in Nuñez et al. 2018: dark blue to yellow; lightness is linear in the value, so luminance rises throughout.
    const luminance = cividis.map(([r, g, b]) => 0.2126 * r + 0.7152 * g + 0.0722 * b)
    for (let i = 1; i < luminance.length; i++) expect(luminance[i]! - luminance[i - 1]!).toBeGreaterThan(-0.8)
    expect(cividis[0]![2]).toBeGreaterThan(cividis[0]![0])
    expect(cividis[255]![0]).toBeGreaterThan(200)
    expect(cividis[255]![2]).toBeLessThan(110)
  })

  it('clamps, and picks a readable letter colour', () => {
    expect(level(-1)).toBe(0)
    expect(level(2)).toBe(255)
    expect(successColour(1)).toMatch(/^rgb\(/)
    expect(inkOn(1)).toBe('ink')
    expect(inkOn(0)).toBe('paper')
  })
})

describe('hatching', () => {
  it('draws a paper stroke with an ink hairline beside it at a steady spacing, at every scale', () => {
    for (const scale of [1, 2]) {
      const along = Array.from({ length: 400 }, (_, i) => hatchAt(i, 0, scale))
      const share = (kind: number) => along.filter((k) => k === kind).length / along.length
      expect(share(LIGHT)).toBeCloseTo(2.2 / HATCH_SPACING, 1)
      expect(share(DARK)).toBeCloseTo(1 / HATCH_SPACING, 1)
      expect(share(NONE)).toBeGreaterThan(0.6)
    }
    expect(hatchAt(0, 0, 1)).toBe(LIGHT)
  })

  it('lies only where the interval is wider than the threshold', () => {
    const painter = new DiscPainter(halfCertain(), 128, 1)
    const plain = cividis[level(0.25)]!
    const { image, hatched } = painter.paint({ view: 'heading', layer: 'p', headingDeg: 0, threshold: 0.4 })
    let [left, right] = [0, 0]
    for (let column = 10; column < 118; column++) {
      const same = pixel(image, column, 64)
        .slice(0, 3)
        .every((v, i) => v === plain[i])
      if (!same && column < 60) left++
      if (!same && column > 68) right++
    }
    expect(left).toBe(0)
    expect(right).toBeGreaterThan(8)
    expect(hatched).toBeCloseTo(0.5, 1)
  })

  it('covers all below the narrowest and nothing above the widest', () => {
    const painter = new DiscPainter(halfCertain(), 64, 1)
    expect(painter.paint({ view: 'heading', layer: 'p', headingDeg: 0, threshold: 0.05 }).hatched).toBe(1)
    expect(painter.paint({ view: 'heading', layer: 'p', headingDeg: 0, threshold: 0.7 }).hatched).toBe(0)
  })

  it('leaves the corners clear and the rim free of the outside', () => {
    const painter = new DiscPainter(halfCertain(), 128, 1)
    const { image } = painter.paint({ view: 'heading', layer: 'p', headingDeg: 0, threshold: 1 })
    expect(pixel(image, 0, 0)[3]).toBe(0)
    const plain = cividis[level(0.25)]!
    expect(pixel(image, 64, 1).slice(0, 3)).toEqual([...plain])
  })
})

describe('nearest pixel inside', () => {
  it('is itself inside and an inside neighbour outside', () => {
    const map = nearestInside(16)
    for (let i = 0; i < map.length; i++) {
      const j = map[i]!
      const [c, r] = [j % 16, Math.floor(j / 16)]
      expect(Math.hypot((2 * (c + 0.5)) / 16 - 1, (2 * (r + 0.5)) / 16 - 1)).toBeLessThanOrEqual(1)
    }
    expect(map[8 * 16 + 8]).toBe(8 * 16 + 8)
  })
})
