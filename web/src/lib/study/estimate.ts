/** How big a plan will be while it is still being written. The server's plan tells exactly. */
import type { Draft, Study } from '$lib/api'

export interface Estimate {
  /** Combinations of hand, item and setting. */
  combinations: number
  /** Trials with reference trials. */
  trials: number
  references: number
  blocks: number
  hours: number
}

/**
 * Counts the trials of a draft. Each combination of hand, item and setting is one whole plot in each replicate; a whole
 * plot is cut into blocks of at most the block size; reference trials stand at each block's start and end. Changes
 * are counted once for each new whole plot, which is the least that a plan can do.
 */
export function estimate(study: Draft<Study>, orientations: number): Estimate | null {
  const combinations = study.hands.length * study.items.length * study.settings.length
  const inPlot = study.strategies.length * study.closing_levels.length * orientations
  const numbers = [study.replicates, study.block_size, study.references, study.trial_s, study.change_s]
  if (numbers.some((n) => n === null || n === undefined || !Number.isFinite(n) || n < 0)) return null
  if (combinations === 0 || inPlot === 0 || study.block_size < 1) return null
  const plots = combinations * study.replicates
  const blocks = plots * Math.ceil(inPlot / study.block_size)
  const references = blocks * 2 * study.references
  const trials = plots * inPlot + references
  const changes = combinations > 1 ? plots - 1 : 0
  return {
    combinations,
    trials,
    references,
    blocks,
    hours: (trials * study.trial_s + changes * study.change_s) / 3600,
  }
}

/** Directions of a plan's orientations, each with the headings tried there; directions closer than 0.01° are one. */
export function byDirection(
  points: { tilt_deg?: number; azimuth_deg?: number; roll_deg?: number }[],
): { tiltDeg: number; azimuthDeg: number; headingsDeg: number[] }[] {
  const groups = new Map<string, { tiltDeg: number; azimuthDeg: number; headingsDeg: number[] }>()
  for (const p of points) {
    const [tilt, azimuth, roll] = [p.tilt_deg ?? 0, p.azimuth_deg ?? 0, p.roll_deg ?? 0]
    // Straight down (and straight up) have no azimuth of their own.
    const turn = Math.sin((tilt * Math.PI) / 180) < 1e-4 ? '' : (((azimuth % 360) + 360) % 360).toFixed(2)
    const key = tilt.toFixed(2) + '/' + (turn === '360.00' ? '0.00' : turn)
    const group = groups.get(key) ?? { tiltDeg: tilt, azimuthDeg: azimuth, headingsDeg: [] }
    group.headingsDeg.push(azimuth + roll)
    groups.set(key, group)
  }
  return [...groups.values()]
}

/** The largest tilt that a plan asks for, degrees. */
export function largestTilt(plan: Study['orientations']): number {
  const tilts = plan.kind === 'even' ? [plan.tilt_max_deg ?? 0] : (plan.tilts_deg ?? [])
  return Math.min(180, Math.max(10, ...tilts.filter(Number.isFinite)))
}
