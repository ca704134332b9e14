import { describe, expect, it } from 'vitest'
import type { BenchRecord } from '../api'
import { feeding } from './feed'

const record = (id: number, test: string, more: Partial<BenchRecord> = {}) =>
  ({ id, test, on_sheet: true, ...more }) as BenchRecord
const pushes = (group: string) =>
  ({ report: { figures: [{ name: 'stiffness, loading', group }] } }) as Partial<BenchRecord>

describe('records that feed a description', () => {
  it('are those of four tests on the sheet, oldest first', () => {
    const list = [
      record(9, 'tendon'),
      record(4, 'grip'),
      record(3, 'bending'),
      record(2, 'blocking', { on_sheet: false }),
    ]
    expect(feeding(list).map((r) => r.id)).toEqual([3, 9])
  })
  it('count pushes by their direction', () => {
    const list = [
      record(1, 'stiffness', pushes('up')),
      record(2, 'stiffness', pushes('Sideways')),
      record(3, 'stiffness'),
    ]
    expect(feeding(list).map((r) => r.id)).toEqual([2])
  })
})
