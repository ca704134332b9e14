/**
 * The success map as the server sends it: unsigned 16-bit little-endian numbers, 0…65534 for 0…1 and 65535 outside the
 * disc; layer by layer, heading by heading, row by row from the top (azimuth 90°), from left to right.
 */
import { modDeg } from './geometry'

export interface RasterInfo {
  size: number
  headings: number
  layers: string[] | null
}

/** What the picture shows over the headings. */
export type View = 'heading' | 'best' | 'mean'

/** Which number the picture shows. */
export type Layer = 'p' | 'low' | 'high' | 'blurred'

export const OUTSIDE = 65535
const FULL = 65534

/** One square layer at one heading, as shares 0…1; NaN outside the disc. */
export type Field = Float32Array

export class Raster {
  readonly size: number
  readonly headings: number
  /** Degrees of hand heading after which the map repeats. */
  readonly periodDeg: number
  private readonly data: Uint16Array
  private readonly offsets = new Map<string, number>()

  private constructor(info: RasterInfo, headingFold: number, data: Uint16Array) {
    this.size = info.size
    this.headings = info.headings
    this.periodDeg = 360 / Math.max(1, headingFold)
    this.data = data
    let at = 0
    for (const layer of info.layers ?? []) {
      this.offsets.set(layer, at)
      at += layerHeadings(layer, info.headings) * info.size * info.size
    }
  }

  /** Reads the bytes of the map's raster; throws an Error that says what does not fit. */
  static decode(bytes: ArrayBuffer, info: RasterInfo, headingFold: number): Raster {
    if (!(info.size > 1) || !(info.headings > 0)) {
      throw new Error(
        `The map’s picture has size ${info.size} and ${info.headings} headings; both must be positive.`,
      )
    }
    const cells =
      (info.layers ?? []).reduce((n, l) => n + layerHeadings(l, info.headings), 0) * info.size * info.size
    if (bytes.byteLength !== cells * 2) {
      throw new Error(
        `The map’s picture should have ${cells * 2} bytes but has ${bytes.byteLength}. Load the page again.`,
      )
    }
    return new Raster(info, headingFold, littleEndian(bytes))
  }

  has(layer: string): boolean {
    return this.offsets.has(layer)
  }

  /** The share at a pixel of a layer; null outside the disc or where the layer is missing. */
  at(view: View, layer: Layer, headingDeg: number, column: number, row: number): number | null {
    if (column < 0 || row < 0 || column >= this.size || row >= this.size) return null
    const { a, b, f } = this.slices(view, layer, headingDeg)
    if (a < 0) return null
    const i = row * this.size + column
    const va = this.data[a + i]!
    const vb = this.data[b + i]!
    if (va === OUTSIDE || vb === OUTSIDE) return null
    return (va + (vb - va) * f) / FULL
  }

  /** The share at a point of the disc (−1…1), bilinear between pixels; null outside. */
  sample(view: View, layer: Layer, headingDeg: number, x: number, y: number): number | null {
    const column = ((x + 1) / 2) * this.size - 0.5
    const row = ((1 - y) / 2) * this.size - 0.5
    const [c0, r0] = [Math.floor(column), Math.floor(row)]
    const [fx, fy] = [column - c0, row - r0]
    let sum = 0
    let weight = 0
    for (const [dc, dr] of [
      [0, 0],
      [1, 0],
      [0, 1],
      [1, 1],
    ] as const) {
      const v = this.at(view, layer, headingDeg, c0 + dc, r0 + dr)
      const w = (dc ? fx : 1 - fx) * (dr ? fy : 1 - fy)
      if (v === null || w === 0) continue
      sum += w * v
      weight += w
    }
    return weight > 0 ? sum / weight : null
  }

  /** Writes a layer at a heading, linear between the two nearest headings, into a field of size² shares. */
  blend(view: View, layer: Layer, headingDeg: number, into: Field): boolean {
    const { a, b, f } = this.slices(view, layer, headingDeg)
    if (a < 0) return false
    const n = this.size * this.size
    const data = this.data
    const g = f / FULL
    const e = (1 - f) / FULL
    for (let i = 0; i < n; i++) {
      const va = data[a + i]!
      into[i] = va === OUTSIDE ? NaN : va * e + data[b + i]! * g
    }
    return true
  }

  private slices(view: View, layer: Layer, headingDeg: number): { a: number; b: number; f: number } {
    const name = layerName(view, layer)
    const start = this.offsets.get(name)
    if (start === undefined) return { a: -1, b: -1, f: 0 }
    if (view !== 'heading') return { a: start, b: start, f: 0 }
    const step = (modDeg(headingDeg, this.periodDeg) / this.periodDeg) * this.headings
    const lower = Math.floor(step)
    const n = this.size * this.size
    return {
      a: start + (lower % this.headings) * n,
      b: start + ((lower + 1) % this.headings) * n,
      f: step - lower,
    }
  }
}

/** The layer's name on the wire. */
export function layerName(view: View, layer: Layer): string {
  if (view === 'heading') return layer
  return layer === 'p' ? view : `${view}_${layer}`
}

function layerHeadings(layer: string, headings: number): number {
  return layer.startsWith('mean') || layer.startsWith('best') ? 1 : headings
}

function littleEndian(bytes: ArrayBuffer): Uint16Array {
  const native = new Uint8Array(new Uint16Array([1]).buffer)[0] === 1
  if (native) return new Uint16Array(bytes)
  const view = new DataView(bytes)
  return Uint16Array.from({ length: bytes.byteLength / 2 }, (_, i) => view.getUint16(2 * i, true))
}
