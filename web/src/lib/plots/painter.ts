/**
 * Paints the map's raster onto a disc of any size. All that depends only on the size is worked out once: which
 * raster pixels a screen pixel lies between, with what weights, and where hatching lines run. A repaint is then one pass
 * over typed arrays, row by row, which keeps a turn of the dial well inside one screen refresh.
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
  /** For each screen column (rows alike): the raster pixel to its left and the weight of the next one. */
  private readonly lower: Int32Array
  private readonly weight: Float32Array
  /** First and one past the last screen column on the disc, row by row. */
  private readonly from: Int32Array
  private readonly to: Int32Array
  /** Hatching by column + row. */
  private readonly hatch: Uint8Array
  /** Rim pixels with partial cover: place in the image, opacity. */
  private readonly rim: { pixel: Int32Array; opacity: Uint8Array }
  private readonly nearest: Int32Array
  private readonly value: Field
  private readonly low: Field
  private readonly high: Field
  private readonly valueRow: Float32Array
  private readonly widthRow: Float32Array
  private readonly tables: [Uint32Array, Uint32Array, Uint32Array]

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
    this.valueRow = new Float32Array(raster.size)
    this.widthRow = new Float32Array(raster.size)
    const plain = pixelTable()
    this.tables = [plain, mixedTable(plain, PAPER, 0.72), mixedTable(plain, INK, 0.5)]
    this.nearest = nearestInside(raster.size)
    this.hatch = Uint8Array.from({ length: 2 * diameter }, (_, sum) => hatchAt(sum, 0, scale))

    this.lower = new Int32Array(diameter)
    this.weight = new Float32Array(diameter)
    for (let k = 0; k < diameter; k++) {
      const u = Math.max(0, Math.min(raster.size - 1, ((k + 0.5) / diameter) * raster.size - 0.5))
      this.lower[k] = Math.min(raster.size - 2, Math.floor(u))
      this.weight[k] = u - this.lower[k]!
    }

    this.from = new Int32Array(diameter)
    this.to = new Int32Array(diameter)
    const pixel: number[] = []
    const opacity: number[] = []
    const middle = diameter / 2
    for (let row = 0; row < diameter; row++) {
      let [first, last] = [diameter, 0]
      for (let column = 0; column < diameter; column++) {
        const cover = middle - Math.hypot(column + 0.5 - middle, row + 0.5 - middle) + 0.5
        if (cover <= 0) continue
        first = Math.min(first, column)
        last = column + 1
        if (cover < 1) {
          pixel.push(row * diameter + column)
          opacity.push(cover * 255)
        }
      }
      this.from[row] = Math.min(first, last)
      this.to[row] = last
    }
    this.rim = { pixel: Int32Array.from(pixel), opacity: Uint8Array.from(opacity) }
  }

  /** Paints the picture and returns it, with the share of the disc that is hatched. */
  paint(picture: Picture): { image: ImageData; hatched: number } {
    const { view, layer, headingDeg, threshold } = picture
    const { raster, lower, weight, hatch, pixels, value, low, high, nearest, valueRow, widthRow, diameter } =
      this
    raster.blend(view, layer, headingDeg, value)
    const intervals =
      raster.blend(view, 'low', headingDeg, low) && raster.blend(view, 'high', headingDeg, high)
    const size = raster.size
    const [plain, light, dark] = this.tables
    let wide = 0
    let inside = 0
    for (let row = 0; row < diameter; row++) {
      // Blend two raster rows once, then run along the screen row.
      const above = lower[row]! * size
      const down = weight[row]!
      for (let c = 0; c < size; c++) {
        const a = nearest[above + c]!
        const b = nearest[above + size + c]!
        valueRow[c] = (value[a]! + (value[b]! - value[a]!) * down) * 255 + 0.5
        if (!intervals) continue
        const wa = high[a]! - low[a]!
        widthRow[c] = wa + (high[b]! - low[b]! - wa) * down
      }
      const end = this.to[row]!
      const start = row * diameter
      inside += end - this.from[row]!
      for (let column = this.from[row]!; column < end; column++) {
        const c = lower[column]!
        const f = weight[column]!
        let table = plain
        if (intervals && widthRow[c]! + (widthRow[c + 1]! - widthRow[c]!) * f > threshold) {
          wide++
          const line = hatch[column + row]!
          if (line === LIGHT) table = light
          else if (line === DARK) table = dark
        }
        pixels[start + column] = table[(valueRow[c]! + (valueRow[c + 1]! - valueRow[c]!) * f) | 0]!
      }
    }
    const bytes = this.image.data
    const { pixel, opacity } = this.rim
    for (let k = 0; k < pixel.length; k++) bytes[pixel[k]! * 4 + 3] = opacity[k]!
    return { image: this.image, hatched: inside ? wide / inside : 0 }
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
