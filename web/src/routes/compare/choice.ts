/** What is compared: a factor, two of its levels, and what is fixed beside it; from the address where it fits the trials. */
import type { Condition } from '$lib/api'

export type Factor = 'strategy' | 'hand' | 'item' | 'setting'
export const factors: readonly Factor[] = ['strategy', 'hand', 'item', 'setting']
export const factorNames: Record<Factor, string> = {
  strategy: 'Strategy',
  hand: 'Hand',
  item: 'Item',
  setting: 'Setting',
}

/** Stands in the address for "all of them, told apart as blocks are". */
export const ALL = 'all'

export interface Choice {
  by: Factor
  a: string
  b: string
  /** The rest: a level, or '' for all. */
  rest: Partial<Record<Factor, string>>
  /** True when the rest leaves one condition for each of the two, so that their maps can be compared. */
  mapped: boolean
}

/** The levels of a factor that have trials, in the order of their first condition. */
export function levelsOf(conditions: Condition[], factor: Factor): string[] {
  return [...new Set(conditions.map((c) => c[factor]))]
}

/** Factors with at least two levels. */
export function comparable(conditions: Condition[]): Factor[] {
  return factors.filter((f) => levelsOf(conditions, f).length > 1)
}

/** What the address asks for, completed; null when the trials hold nothing to compare. */
export function chosen(conditions: Condition[], wanted: (name: string) => string | null): Choice | null {
  const open = comparable(conditions)
  const by = open.find((f) => f === wanted('by')) ?? open[0]
  if (!by) return null
  const rest: Choice['rest'] = {}
  let left = conditions
  for (const f of factors) {
    if (f === by) continue
    const levels = levelsOf(left, f)
    const asked = wanted(f)
    rest[f] =
      asked === ALL && levels.length > 1 ? '' : levels.includes(asked ?? '') ? asked! : mostTried(left, f)
    // A level under which nothing can be compared is no help.
    const narrowed = left.filter((c) => rest[f] === '' || c[f] === rest[f])
    if (levelsOf(narrowed, by).length < 2) rest[f] = ''
    else left = narrowed
  }
  const levels = byShare(left, by)
  const a = levels.includes(wanted('a') ?? '') ? wanted('a')! : levels.find((l) => l !== wanted('b'))!
  const b =
    levels.includes(wanted('b') ?? '') && wanted('b') !== a ? wanted('b')! : levels.find((l) => l !== a)!
  const ofEach = (level: string) => left.filter((c) => c[by] === level).length
  return { by, a, b, rest, mapped: ofEach(a) === 1 && ofEach(b) === 1 }
}

function mostTried(conditions: Condition[], factor: Factor): string {
  const trials = new Map<string, number>()
  for (const c of conditions) trials.set(c[factor], (trials.get(c[factor]) ?? 0) + c.trials)
  return [...trials].reduce((best, next) => (next[1] > best[1] ? next : best))[0]
}

/** Levels by their share held, largest first. */
function byShare(conditions: Condition[], factor: Factor): string[] {
  const share = (level: string) => {
    const rows = conditions.filter((c) => c[factor] === level)
    return (
      rows.reduce((n, c) => n + c.held, 0) /
      Math.max(
        1,
        rows.reduce((n, c) => n + c.trials, 0),
      )
    )
  }
  return levelsOf(conditions, factor).sort((x, y) => share(y) - share(x))
}
