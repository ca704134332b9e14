import { percent } from '$lib/format'
import { modDeg, type DiscPoint } from '$lib/plots/geometry'
import type { Layer, Raster, View } from '$lib/plots/raster'

/** An orientation as the disc and the dial name it. */
export interface Place {
  tiltDeg: number
  azimuthDeg: number
  /** Azimuth + roll. */
  headingDeg: number
}

/** The heading at which the best value of a direction is reached. */
export function bestHeading(
  raster: Pick<Raster, 'headings' | 'periodDeg' | 'sample'>,
  at: DiscPoint,
): number {
  let best = 0
  let most = -1
  for (let k = 0; k < raster.headings; k++) {
    const deg = (k / raster.headings) * raster.periodDeg
    const v = raster.sample('heading', 'p', deg, at.x, at.y) ?? -1
    if (v > most) [most, best] = [v, deg]
  }
  return best
}

/** Share, limits and blurred share where the reader points; null off the disc. */
export function valuesAt(raster: Pick<Raster, 'sample'>, view: View, headingDeg: number, at: DiscPoint) {
  const read = (l: Layer) => raster.sample(view, l, headingDeg, at.x, at.y)
  const [p, low, high, blurred] = [read('p'), read('low'), read('high'), read('blurred')]
  return p === null || low === null || high === null || blurred === null ? null : { p, low, high, blurred }
}

/** A place and what is known there, for readers who do not see the disc. */
export const inWords = (at: Place, values: { p: number; low: number; high: number }) =>
  `Tilt ${Math.round(at.tiltDeg)} degrees, azimuth ${Math.round(modDeg(at.azimuthDeg))}: ${percent(values.p)} held, ${percent(values.low)} to ${percent(values.high)}`
