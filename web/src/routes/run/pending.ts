/**
 * Trials that were entered but not yet acknowledged. They lie in the browser's storage under their study until the server
 * has them on disk; each carries its own key, so that sending one again stores nothing twice.
 */
import type { NewTrial } from '$lib/api'

export interface Pending {
  trial: NewTrial
  /** What to say and show while it waits, such as "held". */
  label: string
  /** Times it was sent without an answer. */
  attempts: number
}

/** The part of the browser's storage that is used; tests hand in their own. */
export type Box = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>

const place = (study: string) => `holdfast.pending.${study}`

/** The waiting trials, oldest first; unreadable leftovers count as none. */
export function load(box: Box, study: string): Pending[] {
  try {
    const list: unknown = JSON.parse(box.getItem(place(study)) ?? '[]')
    return Array.isArray(list) ? list.filter(isPending) : []
  } catch {
    return []
  }
}

/** Keeps the waiting trials. Returns false when the browser refuses to store, so that the page can say so. */
export function keep(box: Box, study: string, list: Pending[]): boolean {
  try {
    if (list.length === 0) box.removeItem(place(study))
    else box.setItem(place(study), JSON.stringify(list))
    return true
  } catch {
    return false
  }
}

/** Seconds to wait before the next attempt: 1, 2, 4, 8, then every 15. */
export function waitSeconds(attempts: number): number {
  return Math.min(15, 2 ** Math.max(0, attempts - 1))
}

/** Whether trouble passes by itself (no network, server restarting or overloaded), so that trying again makes sense. */
export function passes(status: number): boolean {
  return status === 0 || status === 408 || status === 429 || status >= 500
}

function isPending(p: unknown): p is Pending {
  const entry = p as Partial<Pending> | null
  return (
    typeof entry === 'object' &&
    entry !== null &&
    typeof entry.trial?.key === 'string' &&
    typeof entry.trial.outcome === 'string'
  )
}
