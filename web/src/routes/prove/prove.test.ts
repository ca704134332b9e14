import { expect, test } from 'vitest'
import { acceptedArea, mostFailures, rejectedArea, ticks, turns } from './boundary'
import { designOf, usual } from './design'

test('what is sent of the form counts failures and leaves out what the kind does not use', () => {
  const f = usual(0.8)
  expect(designOf(f)).toEqual({ kind: 'success-run', success: 0.8, confidence: 0.95, failures: 0 })
  expect(designOf({ ...f, kind: 'sequential', longest: 0, fullLength: true })).toEqual({
    kind: 'sequential',
    good: 0.05,
    bad: 0.2,
    producer_risk: 0.05,
    consumer_risk: 0.1,
    full_length: true,
  })
  expect(designOf({ ...f, kind: 'table' })).toEqual({
    kind: 'table',
    lot_size: 500,
    aql_pct: 2.5,
    level: 'II',
    severity: 'normal',
  })
  expect(designOf({ ...f, kind: 'double' })).toMatchObject({ first: 40, first_rejects: 2, both_allowed: 1 })
})

test('nothing is sent while a number is missing or unreadable', () => {
  expect(designOf({ ...usual(0.8), confidence: null })).toBeNull()
  expect(designOf({ ...usual(0.8), kind: 'two-point', good: NaN })).toBeNull()
  expect(designOf({ ...usual(0.8), kind: 'two-point', confidence: null })).not.toBeNull()
})

test('a study without a usable target gets a usual one', () => {
  expect(usual(0).success).toBe(0.9)
  expect(usual(1).success).toBe(0.9)
})

// Three trials, accepted with none at the end, rejected with the first failure.
const accept = [-1, -1, 0]
const reject = [1, 1, 1]

test('boundaries are told where they change', () => {
  expect(turns(accept, reject)).toEqual([
    { trials: 1, accept: null, reject: 1 },
    { trials: 3, accept: 0, reject: 1 },
  ])
  expect(turns([-1, -1], [3, 3])).toEqual([{ trials: 1, accept: null, reject: null }])
})

test('areas hang together and reach the drawing’s edge', () => {
  expect(acceptedArea(accept)).toEqual([
    [2.5, -0.5],
    [2.5, 0.5],
    [3.5, 0.5],
    [3.5, -0.5],
  ])
  expect(acceptedArea([-1, -1])).toEqual([])
  const area = rejectedArea(reject, mostFailures(accept, reject, 0))
  expect(area[0]).toEqual([0.5, 2.5])
  expect(area.at(-1)).toEqual([3.5, 2.5])
  expect(rejectedArea([2, 3], 4)).toEqual([])
})

test('axes get round steps', () => {
  expect(ticks(59, 6)).toEqual([0, 10, 20, 30, 40, 50])
  expect(ticks(2.5, 5)).toEqual([0, 0.5, 1, 1.5, 2, 2.5])
  expect(ticks(1, 5)).toEqual([0, 0.2, 0.4, 0.6, 0.8, 1])
})
