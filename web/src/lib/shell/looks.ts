/** The closer looks at a study, beside the steps of the work; the name is the last part of the page's address. */
export const looks: { name: string; title: string }[] = [
  { name: 'next', title: 'Next trials' },
  { name: 'factors', title: 'Factors' },
  { name: 'tolerance', title: 'Tolerance' },
  { name: 'families', title: 'Families' },
  { name: 'compare', title: 'Compare' },
  { name: 'judges', title: 'Judges' },
  { name: 'value', title: 'Value' },
  { name: 'model', title: 'Model and bench' },
  { name: 'replay', title: 'Replay' },
]
