/** Which trials of a record are shown. */
import type { Item, Trial } from '$lib/api'

export interface Choice {
  /** "hand/item/setting/strategy", or empty for all. */
  condition: string
  outcome: string
  block: number
  /** "only", "without", or empty for both. */
  reference: string
  /** Only held trials whose damage may show late and that nobody has looked at again. */
  waiting: boolean
}

export const conditionOf = (t: Pick<Trial, 'hand' | 'item' | 'setting' | 'strategy'>): string =>
  [t.hand, t.item, t.setting, t.strategy].join('/')

/** Says whether a trial waits for an inspection: it counts as held, and its item's damage shows late. */
export function waits(trial: Trial, items: Map<string, Pick<Item, 'late_damage_h'>>): boolean {
  return trial.counted === 'held' && !trial.inspection && (items.get(trial.item)?.late_damage_h ?? 0) > 0
}

/** The trials of a choice, newest first. */
export function select(
  trials: Trial[],
  choice: Choice,
  items: Map<string, Pick<Item, 'late_damage_h'>>,
): Trial[] {
  return trials
    .filter(
      (t) =>
        (!choice.condition || conditionOf(t) === choice.condition) &&
        (!choice.outcome || t.counted === choice.outcome) &&
        (!choice.block || t.block === choice.block) &&
        (!choice.reference || t.reference === (choice.reference === 'only')) &&
        (!choice.waiting || waits(t, items)),
    )
    .sort((a, b) => b.root - a.root)
}
