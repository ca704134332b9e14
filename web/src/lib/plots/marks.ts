/**
 * Trials as marks on the disc. They lie in buckets by the hand's heading, so that turning the dial touches only the
 * trials it shows; when too many are in sight they are drawn as counts.
 */
import { modDeg, ringRadius, DEG } from './geometry'

export interface MarkColumns {
  trial: number[] | null
  tilt_deg: number[] | null
  azimuth_deg: number[] | null
  heading_deg: number[] | null
  counted: number[] | null
  outcomes: string[] | null
}

const BUCKETS = 360

export class MarkSet {
  readonly count: number
  readonly outcomes: string[]
  readonly trial: Float64Array
  /** Places on the disc, −1…1, y up. */
  readonly x: Float32Array
  readonly y: Float32Array
  readonly outcome: Uint8Array
  readonly heading: Float32Array
  readonly periodDeg: number
  /** Trials whose tilt lies beyond the rim; they are not drawn. */
  readonly beyond: number
  /** bucketStart[b]…bucketStart[b+1] are the places in `order` of the marks whose heading falls in bucket b. */
  private readonly bucketStart: Int32Array
  private readonly order: Int32Array

  constructor(columns: MarkColumns, tiltMaxDeg: number, headingFold: number) {
    const tilt = columns.tilt_deg ?? []
    const azimuth = columns.azimuth_deg ?? []
    const heading = columns.heading_deg ?? []
    this.outcomes = columns.outcomes ?? []
    this.periodDeg = 360 / Math.max(1, headingFold)
    const n = tilt.length
    this.count = n
    this.trial = Float64Array.from(columns.trial ?? [])
    this.outcome = Uint8Array.from(columns.counted ?? [])
    this.x = new Float32Array(n)
    this.y = new Float32Array(n)
    this.heading = new Float32Array(n)
    const bucket = new Uint16Array(n)
    const counts = new Int32Array(BUCKETS + 1)
    let beyond = 0
    for (let i = 0; i < n; i++) {
      const r = ringRadius(tilt[i]!, tiltMaxDeg)
      this.x[i] = r * Math.cos(azimuth[i]! * DEG)
      this.y[i] = r * Math.sin(azimuth[i]! * DEG)
      this.heading[i] = modDeg(heading[i]!, this.periodDeg)
      if (r > 1.0001) {
        beyond++
        bucket[i] = BUCKETS // not drawn
        continue
      }
      bucket[i] = Math.min(BUCKETS - 1, Math.floor((this.heading[i]! / this.periodDeg) * BUCKETS))
      counts[bucket[i]! + 1]!++
    }
    this.beyond = beyond
    for (let b = 0; b < BUCKETS; b++) counts[b + 1]! += counts[b]!
    this.bucketStart = counts
    this.order = new Int32Array(n - beyond)
    const next = counts.slice()
    for (let i = 0; i < n; i++) if (bucket[i]! < BUCKETS) this.order[next[bucket[i]!]!++] = i
  }

  /** Marks whose heading lies within ±windowDeg of the dial; all of them when the window is null. */
  within(headingDeg: number, windowDeg: number | null): Int32Array {
    if (windowDeg === null || windowDeg >= this.periodDeg / 2) return this.order
    const centre = modDeg(headingDeg, this.periodDeg)
    const first = Math.floor(((centre - windowDeg) / this.periodDeg) * BUCKETS)
    const last = Math.floor(((centre + windowDeg) / this.periodDeg) * BUCKETS)
    if (last - first + 1 >= BUCKETS) return this.order
    const found = new Int32Array(this.order.length)
    let n = 0
    for (let b = first; b <= last; b++) {
      const k = ((b % BUCKETS) + BUCKETS) % BUCKETS
      const sure = b > first && b < last
      for (let j = this.bucketStart[k]!; j < this.bucketStart[k + 1]!; j++) {
        const i = this.order[j]!
        if (!sure) {
          const d = modDeg(this.heading[i]! - centre, this.periodDeg)
          if (Math.min(d, this.periodDeg - d) > windowDeg) continue
        }
        found[n++] = i
      }
    }
    return found.subarray(0, n)
  }

  /** Up to `limit` shown marks nearest to a point of the disc, within a radius (disc units), nearest first. */
  near(shown: Int32Array, x: number, y: number, radius: number, limit: number): number[] {
    const hits: { i: number; d: number }[] = []
    for (const i of shown) {
      const d = Math.hypot(this.x[i]! - x, this.y[i]! - y)
      if (d <= radius) hits.push({ i, d })
    }
    return hits
      .sort((a, b) => a.d - b.d || this.trial[a.i]! - this.trial[b.i]!)
      .slice(0, limit)
      .map((h) => h.i)
  }
}

/** Places for marks that share a spot: a sunflower around it, in mark widths; the first stays in the middle. */
export function fan(k: number, step: number): [number, number] {
  if (k === 0) return [0, 0]
  const r = step * Math.sqrt(k)
  const a = k * 2.399963229728653 // the golden angle
  return [r * Math.cos(a), r * Math.sin(a)]
}

/** Counts of marks on a square grid over the disc. */
export interface Heap {
  x: number
  y: number
  total: number
  held: number
}

/** Gathers the shown marks into grid cells of the given width (disc units), placed at the mean of their marks. */
export function heaps(set: MarkSet, shown: Int32Array, cell: number): Heap[] {
  const across = Math.ceil(2 / cell)
  const total = new Uint32Array(across * across)
  const held = new Uint32Array(across * across)
  const sx = new Float64Array(across * across)
  const sy = new Float64Array(across * across)
  const heldIndex = set.outcomes.indexOf('held')
  for (const i of shown) {
    const c = Math.min(across - 1, Math.max(0, Math.floor((set.x[i]! + 1) / cell)))
    const r = Math.min(across - 1, Math.max(0, Math.floor((set.y[i]! + 1) / cell)))
    const k = r * across + c
    total[k]!++
    sx[k]! += set.x[i]!
    sy[k]! += set.y[i]!
    if (set.outcome[i] === heldIndex) held[k]!++
  }
  const list: Heap[] = []
  for (let k = 0; k < total.length; k++) {
    const n = total[k]!
    if (n > 0) list.push({ x: sx[k]! / n, y: sy[k]! / n, total: n, held: held[k]! })
  }
  return list
}
