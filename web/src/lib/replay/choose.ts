/** Which trials have a replay, and which of them is worth seeing beside another. */
import type { Recording, Trial } from '$lib/api'
import { angleBetweenDeg, fromWire } from '../plots/geometry'
import { replayType } from './document'

/** The recording of a trial that is its replay. */
export const replayOf = (t: Pick<Trial, 'recordings'>): Recording | undefined =>
  t.recordings?.find((r) => r.type === replayType)

export const poseOf = (t: Pick<Trial, 'measured' | 'orientation'>) => fromWire(t.measured ?? t.orientation)

export interface Neighbour {
  trial: Trial
  /** Degrees between the two orientations. */
  angleDeg: number
  /** What differs, in words; empty: only the orientation or chance. */
  differs: string[]
}

/**
 * The trials to see beside one: same item first, then another strategy, then the nearest orientation. At most so many, so
 * that a list stays readable.
 */
export function neighbours(trials: Trial[], to: Trial, most = 60): Neighbour[] {
  const pose = poseOf(to)
  const list = trials
    .filter((t) => t.root !== to.root && replayOf(t))
    .map((trial) => ({
      trial,
      angleDeg: angleBetweenDeg(poseOf(trial), pose),
      differs: (['item', 'hand', 'setting', 'strategy'] as const).filter((k) => trial[k] !== to[k]),
    }))
  const rank = (n: Neighbour) =>
    (n.differs.includes('item') ? 4 : 0) +
    (n.differs.includes('hand') ? 2 : 0) +
    (n.differs.includes('strategy') ? 0 : 1)
  return list
    .sort((a, b) => rank(a) - rank(b) || a.angleDeg - b.angleDeg || a.trial.root - b.trial.root)
    .slice(0, most)
}
