import { expect, test } from 'vitest'
import type { HandClosing } from '$lib/api'
import { check, contactsAt } from '../replay/document'
import { closingFilm, firstTouch, stepAt } from './film'

const step = (command: number, more: object = {}) => ({
  command,
  settled: true,
  links_mm: [0, 10, 0, 0, 10, 50],
  tips_mm: [0, 10, 50],
  joints_deg_or_mm: [0],
  bent_deg: [0],
  tension_N: [1],
  drawn_mm: [2],
  pressure_kPa: [],
  grip_N: 0,
  fingers_N: [0],
  palm_N: 0,
  contacts: [],
  ...more,
})
const touch = { finger: 0, link: 0, point_mm: [0, 5, 40], force_N: [0, -2, 1], sliding: true }
const closing = {
  hand: { id: 'h', name: 'Hand', fingers: 1, joints: 1, cords: 1, chambers: 0 },
  item: 'sphere',
  size_mm: 10,
  distance_mm: 40,
  friction: 0.5,
  palm_radius_mm: 20,
  fingers: ['one'],
  joints: [{ finger: 0, slides: false }],
  cords: [{ motor: 0, fingers: [0], pushes: false }],
  links: [{ finger: 0, joint: 0, radius_mm: 5 }],
  outline: { vertices_mm: [0, 0, 0, 1, 0, 0, 0, 1, 0], triangles: [0, 1, 2] },
  steps: [step(0), step(0.5), step(1, { grip_N: 2, fingers_N: [2], contacts: [touch] })],
} as unknown as HandClosing

test('a closing becomes a film of a hand that points down', () => {
  const film = closingFilm(closing)
  expect(() => check({ ...film, format: 'holdfast-replay/1' })).not.toThrow()
  expect(film.links_mm[0]).toEqual([0, -10, 0, 0, -10, -50])
  expect(film.items_mm_wxyz[2]!.slice(0, 3)).toEqual([0, 0, -40])
  expect(contactsAt(film, 2)).toEqual([
    {
      from: { kind: 'link', index: 0, link: 0 },
      to: { kind: 'item', index: 0, link: 0 },
      point: [0, -5, -40],
      force: [0, 2, -1],
      sliding: true,
    },
  ])
})

test('the slider finds its step, and the first touch is told', () => {
  expect([0, 0.2, 0.3, 1, 7].map((c) => stepAt(closing, c))).toEqual([0, 0, 1, 2, 2])
  expect(firstTouch(closing)).toBe(1)
  expect(firstTouch({ ...closing, steps: closing.steps!.slice(0, 2) })).toBeNaN()
})
