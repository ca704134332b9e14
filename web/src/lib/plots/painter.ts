/**
 * Paints the map's raster onto a disc of any size. All that depends only on the size is worked out once: which four
 * raster pixels a screen pixel lies between, with what weights, and where hatching lines run. A repaint is then one pass
 * over typed arrays, which keeps a turn of the dial well inside one screen refresh.
 */
import { mixedTable, pixelTable } from './colour'
import type { Field, Layer, Raster, View } from './raster'

export interface Picture {
  view: View
  layer: Layer
  headingDeg: number
  /** Width of the 90 % interval, 0…1, above which the picture is hatched. */
  threshold: number
}

/** Distance between hatching lines and their width, in screen pixels at scale 1. */
export const HATCH_SPACING = 9
const HATCH_LIGHT = 2.2
const HATCH_DARK = 1

const INK: [number, number, number] = [22, 27, 29]
const PAPER: [number, number, number] = [253, 252, 249]

/** Line kinds in the hatching pattern. */
export const NONE = 0
export const LIGHT = 1
export const DARK = 2

/** Which hatching line a pixel lies on: a paper-white stroke with an ink hairline beside it, so that it reads on every colour. */
export function hatchAt(column: number, row: number, scale: number): number {
  const spacing = HATCH_SPACING * scale
  const t = ((((column + row) / Math.SQRT2) % spacing) + spacing) % spacing
  if (t < HATCH_LIGHT * scale) return LIGHT
  if (t < (HATCH_LIGHT + HATCH_DARK) * scale) return DARK
  return NONE
}

export class DiscPainter {
  readonly diameter: number
  private readonly raster: Raster
  private readonly image: ImageData
  private readonly pixels: Uint32Array
  /** Screen pixels inside the disc, and the four raster pixels around each with their weights. */
  private readonly inside: Int32Array
  private readonly taps: Int32Array
  private readonly weights: Float32Array
  private readonly hatch: Uint8Array
  private readonly edge: Uint8Array
  private readonly value: Field
  private readonly low: Field
  private readonly high: Field
  private readonly tables: Uint32Array[]

  /** diameter: screen pixels across; scale: screen pixels for one CSS pixel. */
  constructor(raster: Raster, diameter: number, scale = 1) {
    this.raster = raster
    this.diameter = diameter
    this.image = new ImageData(diameter, diameter)
    this.pixels = new Uint32Array(this.image.data.buffer)
    const n = raster.size * raster.size
    this.value = new Float32Array(n)
    this.low = new Float32Array(n)
    this.high = new Float32Array(n)
    const plain = pixelTable()
    this.tables = [plain, mixedTable(plain, PAPER, 0.72), mixedTable(plain, INK, 0.5)]

    const nearest = nearestInside(raster.size)
    const inside: number[] = []
    const edge: number[] = []
    for (let row = 0; row < diameter; row++) {
      for (let column = 0; column < diameter; column++) {
        const x = ((column + 0.5) / diameter) * 2 - 1
        const y = ((row + 0.5) / diameter) * 2 - 1
        const r = Math.hypot(x, y)
        const cover = (1 - r) * (diameter / 2) + 0.5
        if (cover <= 0) continue
        inside.push(row * diameter + column)
        edge.push(Math.min(1, cover) * 255)
      }
    }
    this.inside = Int32Array.from(inside)
    this.edge = Uint8Array.from(edge)
    this.hatch = new Uint8Array(inside.length)
    this.taps = new Int32Array(inside.length * 4)
    this.weights = new Float32Array(inside.length * 4)
    const last = raster.size - 1
    inside.forEach((pixel, k) => {
      const column = pixel % diameter
      const row = (pixel - column) / diameter
      this.hatch[k] = hatchAt(column, row, scale)
      const u = ((column + 0.5) / diameter) * raster.size - 0.5
      const v = ((row + 0.5) / diameter) * raster.size - 0.5
      const c0 = Math.max(0, Math.min(last, Math.floor(u)))
      const r0 = Math.max(0, Math.min(last, Math.floor(v)))
      const c1 = Math.min(last, c0 + 1)
      const r1 = Math.min(last, r0 + 1)
      const fx = Math.max(0, Math.min(1, u - c0))
      const fy = Math.max(0, Math.min(1, v - r0))
      this.taps.set(
        [
          nearest[r0 * raster.size + c0]!,
          nearest[r0 * raster.size + c1]!,
          nearest[r1 * raster.size + c0]!,
          nearest[r1 * raster.size + c1]!,
        ],
        k * 4,
      )
      this.weights.set([(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy], k * 4)
    })
  }

  /** Paints the picture and returns it, with the share of the disc that is hatched. */
  paint(picture: Picture): { image: ImageData; hatched: number } {
    const { view, layer, headingDeg, threshold } = picture
    const { inside, taps, weights, hatch, edge, pixels, value, low, high } = this
    this.raster.blend(view, layer, headingDeg, value)
    const intervals =
      this.raster.blend(view, 'low', headingDeg, low) && this.raster.blend(view, 'high', headingDeg, high)
    let wide = 0
    const width = low
    if (intervals) {
      for (let i = 0; i < width.length; i++) width[i] = high[i]! - low[i]!
    }
    const [plain, light, dark] = this.tables as [Uint32Array, Uint32Array, Uint32Array]
    for (let k = 0, t = 0; k < inside.length; k++, t += 4) {
      const a = taps[t]!,
        b = taps[t + 1]!,
        c = taps[t + 2]!,
        d = taps[t + 3]!
      const wa = weights[t]!,
        wb = weights[t + 1]!,
        wc = weights[t + 2]!,
        wd = weights[t + 3]!
      const v = value[a]! * wa + value[b]! * wb + value[c]! * wc + value[d]! * wd
      const index = (v * 255 + 0.5) | 0
      let table = plain
      if (intervals && width[a]! * wa + width[b]! * wb + width[c]! * wc + width[d]! * wd > threshold) {
        wide++
        const line = hatch[k]!
        if (line === LIGHT) table = light
        else if (line === DARK) table = dark
      }
      pixels[inside[k]!] = table[index]!
    }
    // Soft rim: one pixel of partial cover.
    const bytes = this.image.data
    for (let k = 0; k < inside.length; k++) {
      if (edge[k]! < 255) bytes[inside[k]! * 4 + 3] = edge[k]!
    }
    return { image: this.image, hatched: inside.length ? wide / inside.length : 0 }
  }
}

/** For each raster pixel the nearest one whose centre is on the disc, so that the rim never mixes with the outside. */
export function nearestInside(size: number): Int32Array {
  const map = new Int32Array(size * size)
  const middle = (size - 1) / 2
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      let [c, r] = [column, row]
      // Walk towards the middle until the pixel's centre is inside.
      for (let step = 0; step <= size; step++) {
        if (Math.hypot((2 * (c + 0.5)) / size - 1, (2 * (r + 0.5)) / size - 1) <= 1) break
        const [dx, dy] = [middle - c, middle - r]
        if (Math.abs(dx) >= Math.abs(dy)) c += Math.sign(dx)
        if (Math.abs(dy) >= Math.abs(dx)) r += Math.sign(dy)
      }
      map[row * size + column] = r * size + c
    }
  }
  return map
}
