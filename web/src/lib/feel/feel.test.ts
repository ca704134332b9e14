import { expect, test } from 'vitest'
import type { FeelAdvice, FeelHand } from '$lib/api'
import {
  frame,
  head,
  inWords,
  movedTo,
  points,
  shownRule,
  touchedAt,
  touchedName,
  turns,
  verdictWords,
} from './feel'

const entry = (finger: number, link: number, move: [number, number] = [0, 0]): FeelAdvice => ({
  finger,
  link,
  touched: finger === 0 ? 'the palm' : link ? `finger ${finger}, link ${link}` : `finger ${finger}`,
  trials: 12,
  too_few: false,
  at_command: 0.2,
  move_mm: move,
  move_half_mm: [2, 3],
  per_command_mm: [0, 0],
  direction_deg: 0,
  less_mm: [0, 0],
  more_mm: [0, 0],
  turn_deg: 0,
  turn_half_deg: 0,
})
const hand: FeelHand = {
  palm_radius_mm: 30,
  fingers: ['thumb', 'finger-2'],
  command: 0.2,
  links: [
    { finger: 1, link: 1, radius_mm: 8, from_mm: [30, 0, 0], to_mm: [40, 0, 20] },
    { finger: 1, link: 2, radius_mm: 7, from_mm: [40, 0, 20], to_mm: [50, 10, 40] },
  ],
}

test('fingers or their links are shown, and a finger without links stands in', () => {
  const rule = [entry(0, 0), entry(1, 0), entry(1, 2), entry(2, 0)]
  expect(shownRule(rule, 'finger').map((a) => a.touched)).toEqual(['the palm', 'finger 1', 'finger 2'])
  expect(shownRule(rule, 'link').map((a) => a.touched)).toEqual(['the palm', 'finger 1, link 2', 'finger 2'])
})

test('an arrow begins at what was touched and is as long as the move', () => {
  expect(touchedAt(hand, entry(1, 1))).toEqual([35, 0])
  expect(touchedAt(hand, entry(1, 0))).toEqual([45, 5])
  expect(touchedAt(hand, entry(0, 0))).toEqual([0, 0])
  expect(touchedAt(undefined, entry(1, 1))).toEqual([0, 0])
  expect(movedTo(hand, entry(1, 1, [-5, 4]))).toEqual([30, 4])
  expect(movedTo(hand, entry(1, 1), [2, -3])).toEqual([37, -3])
})

test('the frame holds hand, arrows and intervals', () => {
  const f = frame(hand, [entry(1, 0, [20, -60])], 5)
  expect(f.x).toBe(-35)
  expect(f.x + f.w).toBe(45 + 20 + 2 + 5)
  expect(f.y).toBe(5 - 60 - 3 - 5)
})

test('a head points where the arrow goes, and there is none without a way', () => {
  expect(head([0, 0], [10, 0], 4)).toBe('M6.00 1.80L10.00 0.00L6.00 -1.80Z')
  expect(head([0, 0], [0.01, 0], 4)).toBeNull()
})

test('words', () => {
  expect(inWords(entry(1, 0, [-13.52, 0.24]))).toBe('finger 1: x −13.5 ± 2.0 mm, y 0.2 ± 3.0 mm, 12 trials')
  expect(inWords({ ...entry(1, 0), turn_deg: -6, turn_half_deg: 1.5, trials: 3, too_few: true })).toContain(
    'turn −6.0 ± 1.5°, 3 trials, too few to tell',
  )
  expect(touchedName(entry(1, 2), hand)).toBe('finger 1 (thumb), link 2')
  expect(touchedName(entry(2, 0), hand)).toBe('finger 2')
  expect(points(0.202)).toBe('+20.2')
  expect(points(-0.003)).toBe('−0.3')
  expect(points(0)).toBe('0')
  expect(turns([entry(1, 0)])).toBe(false)
  expect(verdictWords('harms').kind).toBe('care')
  expect(verdictWords('chance').title).toContain('within chance')
})
