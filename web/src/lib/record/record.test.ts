import { expect, test } from 'vitest'
import type { Trial } from '$lib/api'
import { splitPlace } from './faults'
import { changes, correctionOf, facts } from './history'
import { select, waits, type Choice } from './select'

const trial = (over: Partial<Trial> = {}): Trial =>
  ({
    id: 1,
    root: 1,
    key: 'k',
    hand: 'h',
    item: 'roll',
    setting: 's',
    strategy: 'free',
    orientation: { qw: 1, qx: 0, qy: 0, qz: 0, tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 },
    closing: 0.6,
    offset_x_mm: 0,
    offset_y_mm: 0,
    offset_z_mm: 0,
    outcome: 'held',
    counted: 'held',
    reference: false,
    recorded_at: '2026-03-02T08:00:00Z',
    entries: 1,
    ...over,
  }) as Trial
const all: Choice = { condition: '', outcome: '', block: 0, reference: '', waiting: false }
const items = new Map([
  ['roll', { late_damage_h: 2 }],
  ['egg', { late_damage_h: 0 }],
])

test('tells what a correction changed, and nothing else', () => {
  const earlier = trial({ peak_force_N: 5 })
  const later = trial({
    id: 2,
    outcome: 'void',
    void_reason: 'camera off',
    peak_force_N: 5,
    note: 'see photo',
  })
  expect(changes(earlier, later)).toEqual([
    { label: 'Outcome', from: 'Held', to: 'Void' },
    { label: 'Reason why it does not count', from: 'none', to: 'camera off' },
    { label: 'Note', from: 'none', to: 'see photo' },
  ])
  expect(facts(earlier).map((f) => f.label)).not.toContain('Note')
})

test('a correction repeats the entry, with the quaternion as the pose', () => {
  const newest = trial({
    id: 7,
    order: 3,
    measured: { qw: 0.6, qx: 0.8, qy: 0, qz: 0, tilt_deg: 106, azimuth_deg: 0, roll_deg: 0 },
    recordings: [{ sha256: 'ab', name: 'a.jpg', type: 'image/jpeg', size: 1 }],
  })
  expect(correctionOf(newest, 'new')).toMatchObject({
    key: 'new',
    corrects: 7,
    order: 3,
    orientation: { qw: 1, qx: 0, qy: 0, qz: 0 },
    measured: { qw: 0.6, qx: 0.8, qy: 0, qz: 0 },
    recordings: ['ab'],
    outcome: 'held',
  })
  expect(correctionOf(newest, 'new').measured).not.toHaveProperty('tilt_deg')
})

test('only held trials of items whose damage shows late wait for an inspection', () => {
  expect(waits(trial(), items)).toBe(true)
  expect(waits(trial({ inspection: 'sound' }), items)).toBe(false)
  expect(waits(trial({ counted: 'missed' }), items)).toBe(false)
  expect(waits(trial({ item: 'egg' }), items)).toBe(false)
})

test('shows the chosen trials, newest first', () => {
  const list = [
    trial({ root: 1, block: 1 }),
    trial({ root: 2, block: 2, counted: 'missed' }),
    trial({ root: 3, block: 2, reference: true }),
    trial({ root: 4, item: 'egg' }),
  ]
  const roots = (choice: Partial<Choice>) => select(list, { ...all, ...choice }, items).map((t) => t.root)
  expect(roots({})).toEqual([4, 3, 2, 1])
  expect(roots({ block: 2 })).toEqual([3, 2])
  expect(roots({ outcome: 'missed' })).toEqual([2])
  expect(roots({ reference: 'only' })).toEqual([3])
  expect(roots({ reference: 'without' })).toEqual([4, 2, 1])
  expect(roots({ condition: 'h/egg/s/free' })).toEqual([4])
  expect(roots({ waiting: true })).toEqual([3, 1])
})

test('the place of a fault in a file is row and column', () => {
  expect(splitPlace('row 12, outcome')).toEqual({ row: '12', column: 'outcome' })
  expect(splitPlace('row 12')).toEqual({ row: '12', column: '' })
  expect(splitPlace('outcome')).toEqual({ row: '', column: 'outcome' })
})
