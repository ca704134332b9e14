/** A proof run's design as the form holds it, and what of it is sent. People think in success; the plans count failures. */
import type { ProofDesign } from '$lib/api'

export type Kind = ProofDesign['kind']
type Number_ = number | null | undefined

export interface Fields {
  kind: Kind
  success: Number_
  confidence: Number_
  failures: Number_
  /** Success that should pass, and that should not. */
  good: Number_
  bad: Number_
  producerRisk: Number_
  consumerRisk: Number_
  longest: Number_
  lot: Number_
  level: NonNullable<ProofDesign['level']>
  aql: number
  severity: NonNullable<ProofDesign['severity']>
  first: Number_
  firstAllowed: Number_
  firstRejects: Number_
  second: Number_
  bothAllowed: Number_
  fullLength: boolean
}

export const kinds: { value: Kind; label: string; meaning: string }[] = [
  {
    value: 'success-run',
    label: 'Success run',
    meaning: 'As many trials as it takes to show a success with a confidence, with at most so many failures.',
  },
  {
    value: 'two-point',
    label: 'Two points',
    meaning: 'The smallest fixed plan that keeps a risk at a good and at a bad success.',
  },
  {
    value: 'sequential',
    label: 'Trial by trial',
    meaning: 'Decides after each trial; on average the shortest for the same two risks (Wald).',
  },
  {
    value: 'double',
    label: 'Two samples',
    meaning: 'A second sample is taken only where the first does not decide.',
  },
  {
    value: 'table',
    label: 'Standard tables',
    meaning: 'Single sampling by lot size and acceptance quality limit (ISO 2859-1, MIL-STD-105E).',
  },
]

export const levels = ['S-1', 'S-2', 'S-3', 'S-4', 'I', 'II', 'III'] as const
export const qualityLimits = [
  0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1, 1.5, 2.5, 4, 6.5, 10,
]

/** A form filled with usual numbers around the success that the study asks for. */
export function usual(target: number): Fields {
  const asked = target > 0 && target < 1 ? target : 0.9
  return {
    kind: 'success-run',
    success: asked,
    confidence: 0.95,
    failures: 0,
    good: tidy(1 - (1 - asked) / 4),
    bad: asked,
    producerRisk: 0.05,
    consumerRisk: 0.1,
    longest: null,
    lot: 500,
    level: 'II',
    aql: 2.5,
    severity: 'normal',
    first: 40,
    firstAllowed: 0,
    firstRejects: 2,
    second: 40,
    bothAllowed: 1,
    fullLength: false,
  }
}

const tidy = (v: number) => Number(v.toPrecision(9))

/** What is sent of the form; null while a number that counts is missing or unreadable. */
export function designOf(f: Fields): ProofDesign | null {
  const design: Record<string, unknown> = { kind: f.kind }
  let whole = true
  const put = (name: string, value: Number_) => {
    if (value === null || value === undefined || Number.isNaN(value)) whole = false
    else design[name] = value
  }
  const failing = (success: Number_) =>
    success === null || success === undefined ? success : tidy(1 - success)
  switch (f.kind) {
    case 'success-run':
      put('success', f.success)
      put('confidence', f.confidence)
      put('failures', f.failures)
      break
    case 'two-point':
    case 'sequential':
      put('good', failing(f.good))
      put('bad', failing(f.bad))
      put('producer_risk', f.producerRisk)
      put('consumer_risk', f.consumerRisk)
      if (f.kind === 'sequential' && f.longest) put('longest', f.longest)
      break
    case 'table':
      put('lot_size', f.lot)
      put('aql_pct', f.aql)
      design.level = f.level
      design.severity = f.severity
      break
    case 'double':
      put('first', f.first)
      put('first_allowed', f.firstAllowed)
      put('first_rejects', f.firstRejects)
      put('second', f.second)
      put('both_allowed', f.bothAllowed)
  }
  if (f.fullLength) design.full_length = true
  return whole ? (design as unknown as ProofDesign) : null
}
