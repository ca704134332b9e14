/** Which bench records say something of a hand's description. */
import type { BenchRecord } from '../api'

const tests = ['bending', 'blocking', 'tendon', 'stiffness']
const directions = ['closing', 'opening', 'sideways']

/**
 * Records on the sheet that feed a description, in the order in which they were kept. Of pushes only some directions do.
 */
export function feeding(records: BenchRecord[]): BenchRecord[] {
  return records
    .filter((r) => r.on_sheet && tests.includes(r.test))
    .filter((r) => r.test !== 'stiffness' || feedsByDirection(r))
    .sort((a, b) => a.id - b.id)
}

const feedsByDirection = (r: BenchRecord) =>
  (r.report?.figures ?? []).some((f) => directions.includes((f.group ?? '').toLowerCase()))
