/** Which condition the page shows: the one the address names, or the nearest that has trials. */
import type { Condition } from '$lib/api'

export type Wanted = Partial<Pick<Condition, 'hand' | 'item' | 'setting' | 'strategy'>>
export type Part = 'hand' | 'item' | 'setting' | 'strategy'
export const parts: readonly Part[] = ['item', 'hand', 'setting', 'strategy']

/** The condition that agrees with most of what is wanted; among equals the one with most trials; null when there is none. */
export function pickCondition(conditions: Condition[], wanted: Wanted, first?: Part): Condition | null {
  let best: Condition | null = null
  let bestScore = -1
  for (const c of conditions) {
    let score = 0
    for (const part of parts) {
      if (wanted[part] && c[part] === wanted[part]) score += part === first ? 100 : 1
    }
    if (score > bestScore || (score === bestScore && best !== null && c.trials > best.trials)) {
      best = c
      bestScore = score
    }
  }
  return best
}

/** The values of a part that occur, in the order of their first condition. */
export function valuesOf(conditions: Condition[], part: Part): string[] {
  return [...new Set(conditions.map((c) => c[part]))]
}
