/**
 * The difference of two maps as a picture: coloured with its sign where it is clear, hatched where it is not. The scale runs
 * from purple (B better) over white to orange (A better): PuOr of C. A. Brewer's schemes, which colour-blind eyes can tell
 * apart, as d3-scale-chromatic interpolates it. Plus and minus signs say the same without colour.
 */
import { interpolatePuOr } from 'd3-scale-chromatic'
import type { MapsComparison } from '$lib/api'
import { modDeg } from '$lib/plots/geometry'
import { hatchAt, LIGHT, DARK, nearestInside } from '$lib/plots/painter'

export const OUTSIDE = 9999

/** The part of a comparison that a picture needs. */
export type Pictures = Pick<MapsComparison, 'size' | 'headings' | 'heading_fold' | 'points' | 'clear'>

/** Which of the pictures belongs to a heading; the last one is the mean over headings. */
export function pictureAt(m: Pictures, view: 'heading' | 'mean', headingDeg: number): number {
  if (view === 'mean') return m.headings
  const period = 360 / Math.max(1, m.heading_fold)
  return Math.round((modDeg(headingDeg, period) / period) * m.headings) % m.headings
}

export interface DifferenceAt {
  /** A minus B, as a share of 1. */
  difference: number
  /** 1, 2: A is clearly better; −1, −2: B is; 2 and −2 also in the band over all orientations. */
  clear: number
}

/** The difference at a point of the disc (−1…1, y up); null outside. */
export function differenceAt(m: Pictures, picture: number, x: number, y: number): DifferenceAt | null {
  if (Math.hypot(x, y) > 1) return null
  const column = Math.min(m.size - 1, Math.max(0, Math.floor(((x + 1) / 2) * m.size)))
  const row = Math.min(m.size - 1, Math.max(0, Math.floor(((1 - y) / 2) * m.size)))
  const i = nearestOf(m.size)[row * m.size + column]!
  const value = m.points?.[picture]?.[i]
  if (value === undefined || value === OUTSIDE) return null
  return { difference: value / 1000, clear: m.clear?.[picture]?.[i] ?? 0 }
}

const nearest = new Map<number, Int32Array>()
function nearestOf(size: number): Int32Array {
  let known = nearest.get(size)
  if (!known) nearest.set(size, (known = nearestInside(size)))
  return known
}

/** The largest difference that the scale shows: a round number of points at or above all that is drawn. */
export function scaleOf(m: Pictures): number {
  let most = 0
  for (const picture of m.points ?? [])
    for (const v of picture) if (v !== OUTSIDE) most = Math.max(most, Math.abs(v))
  return Math.min(1, Math.max(0.2, Math.ceil(most / 100) / 10))
}

/** The colour of a difference on a scale of ± most, as [red, green, blue]. */
export function differenceColour(difference: number, most: number): [number, number, number] {
  // The scheme's ends are nearly black; the signs on top must stay readable.
  const t = 0.5 + 0.42 * Math.max(-1, Math.min(1, difference / most))
  const parts = interpolatePuOr(t).match(/\d+/g)!
  return [Number(parts[0]), Number(parts[1]), Number(parts[2])]
}

const GREY: [number, number, number] = [226, 224, 217]

/** Paints a picture on a disc of so many screen pixels; scale: screen pixels for one CSS pixel. */
export function paintDifference(
  m: Pictures,
  picture: number,
  most: number,
  diameter: number,
  scale: number,
): ImageData {
  const image = new ImageData(diameter, diameter)
  const values = m.points?.[picture] ?? []
  const clear = m.clear?.[picture] ?? []
  const at = nearestOf(m.size)
  const table = Array.from({ length: 201 }, (_, i) => differenceColour(((i - 100) / 100) * most, most))
  const middle = diameter / 2
  for (let row = 0; row < diameter; row++) {
    for (let column = 0; column < diameter; column++) {
      const cover = middle - Math.hypot(column + 0.5 - middle, row + 0.5 - middle) + 0.5
      if (cover <= 0) continue
      const u = Math.max(0, Math.min(m.size - 1.001, ((column + 0.5) / diameter) * m.size - 0.5))
      const v = Math.max(0, Math.min(m.size - 1.001, ((row + 0.5) / diameter) * m.size - 0.5))
      const [c, r] = [Math.floor(u), Math.floor(v)]
      const [fx, fy] = [u - c, v - r]
      let value = 0
      let sure = 0
      for (let k = 0; k < 4; k++) {
        const i = at[Math.min(m.size - 1, r + (k >> 1)) * m.size + Math.min(m.size - 1, c + (k & 1))]!
        const w = (k & 1 ? fx : 1 - fx) * (k >> 1 ? fy : 1 - fy)
        value += w * values[i]!
        sure += w * Math.sign(clear[i]!)
      }
      let colour = GREY
      if (Math.abs(sure) >= 0.5) {
        const step = Math.round((value / 1000 / most) * 100) + 100
        colour = table[Math.max(0, Math.min(200, step))]!
      } else {
        const line = hatchAt(column, row, scale)
        if (line === LIGHT) colour = [253, 252, 249]
        else if (line === DARK) colour = [140, 140, 134]
      }
      const o = 4 * (row * diameter + column)
      image.data[o] = colour[0]
      image.data[o + 1] = colour[1]
      image.data[o + 2] = colour[2]
      image.data[o + 3] = Math.min(1, cover) * 255
    }
  }
  return image
}

/** A plus or minus sign on the picture (−1…1, y up). */
export interface Sign {
  x: number
  y: number
  plus: boolean
  /** Clear in the band over all orientations, too. */
  sure: boolean
}

/** Signs every few pixels where it is clear. */
export function signs(m: Pictures, picture: number, every = 4): Sign[] {
  const out: Sign[] = []
  const start = Math.floor(m.size / 2) % every
  for (let row = start; row < m.size; row += every) {
    for (let column = start; column < m.size; column += every) {
      const c = m.clear?.[picture]?.[row * m.size + column] ?? 0
      const [x, y] = [(2 * column + 1) / m.size - 1, 1 - (2 * row + 1) / m.size]
      if (c !== 0 && Math.hypot(x, y) < 0.94) out.push({ x, y, plus: c > 0, sure: Math.abs(c) > 1 })
    }
  }
  return out
}

/** A difference in points of 100 with its sign. */
export function pointsText(difference: number, decimals = 0): string {
  const v = (difference * 100).toFixed(decimals)
  const zero = Number(v) === 0
  return (zero ? '' : difference > 0 ? '+' : '−') + v.replace('-', '') + ' points'
}
