/** How a trial can end: word, meaning, key on the run page, and a shape of its own, so that no outcome is told by colour alone. */

export interface OutcomeSpec {
  id: string
  label: string
  meaning: string
  /** Key on the run page; empty when it is not offered there. */
  key: string
  /** Outline in a square from −1 to 1, y down. */
  path: string
  filled: boolean
}

export const outcomes: readonly OutcomeSpec[] = [
  {
    id: 'held',
    label: 'Held',
    meaning: 'lifted and kept',
    key: '1',
    filled: true,
    path: 'M0.78 0A0.78 0.78 0 1 1 -0.78 0A0.78 0.78 0 1 1 0.78 0Z',
  },
  {
    id: 'dropped',
    label: 'Dropped',
    meaning: 'lifted, then lost',
    key: '2',
    filled: false,
    path: 'M-0.82 -0.62L0.82 -0.62L0 0.86Z',
  },
  {
    id: 'slipped',
    label: 'Slipped',
    meaning: 'lost while lifting',
    key: '3',
    filled: false,
    path: 'M0 -0.95L0.7 0L0 0.95L-0.7 0Z',
  },
  {
    id: 'missed',
    label: 'Missed',
    meaning: 'never had it',
    key: '4',
    filled: false,
    path: 'M-0.7 -0.7L0.7 0.7M0.7 -0.7L-0.7 0.7',
  },
  {
    id: 'pushed',
    label: 'Pushed',
    meaning: 'moved or toppled',
    key: '5',
    filled: false,
    path: 'M-0.68 -0.68H0.68V0.68H-0.68Z',
  },
  {
    id: 'damaged',
    label: 'Damaged',
    meaning: 'bruised or broken',
    key: '6',
    filled: false,
    path: 'M0 -0.95V0.95M-0.82 -0.48L0.82 0.48M-0.82 0.48L0.82 -0.48',
  },
  {
    id: 'stopped',
    label: 'Stopped',
    meaning: 'stopped for safety',
    key: '7',
    filled: false,
    path: 'M0.78 0A0.78 0.78 0 1 1 -0.78 0A0.78 0.78 0 1 1 0.78 0ZM-0.42 0H0.42',
  },
  {
    id: 'failed',
    label: 'Not held',
    meaning: 'how was not recorded',
    key: '',
    filled: false,
    path: 'M0 -0.85V0.85M-0.85 0H0.85',
  },
  {
    id: 'void',
    label: 'Void',
    meaning: 'does not count',
    key: '8',
    filled: false,
    path: 'M-0.7 0H-0.2M0.2 0H0.7',
  },
]

const byID = new Map(outcomes.map((o) => [o.id, o]))

/** The outcome's particulars; an unknown one keeps its own name. */
export function outcome(id: string): OutcomeSpec {
  return byID.get(id) ?? { id, label: id, meaning: '', key: '', filled: false, path: 'M-0.5 0H0.5' }
}

/** The outcomes that the run page offers, in the order of their keys. */
export const benchOutcomes = outcomes.filter((o) => o.key !== '')

/** The outcome that a key stands for on the run page. */
export function outcomeOfKey(key: string): OutcomeSpec | undefined {
  return benchOutcomes.find((o) => o.key === key)
}
