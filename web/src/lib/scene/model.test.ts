import { describe, expect, it } from 'vitest'
import { fromApproach, identity, type Vec3 } from '../plots/geometry'
import {
  buildScene,
  closingText,
  crescentLine,
  describeScene,
  fingerAngles,
  fingerProfile,
  genericHand,
  genericItem,
  halfExtent,
} from './model'

const down = (rollDeg: number) => fromApproach({ tiltDeg: 0, azimuthDeg: 0, rollDeg })
const distance = (a: Vec3, b: Vec3) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
const last = <T>(list: T[]) => list[list.length - 1]!

describe('hand in the picture', () => {
  it('opens as wide as the hand does and closes with the command', () => {
    const gap = (closing: number) => {
      const m = buildScene({ rotation: identity, closing })
      return distance(last(m.fingers[0]!.points), last(m.fingers[1]!.points))
    }
    expect(gap(0)).toBeCloseTo(genericHand.opening_max_mm, 6)
    expect(gap(0.4)).toBeLessThan(gap(0))
    expect(gap(1)).toBeLessThan(gap(0.4))
  })

  it('keeps a finger’s length whatever the command', () => {
    for (const closing of [0, 0.3, 0.6, 0.9]) {
      const p = fingerProfile(40, 100, 60, closing)
      let length = 0
      for (let i = 1; i < p.length; i++)
        length += Math.hypot(p[i]![0] - p[i - 1]![0], p[i]![1] - p[i - 1]![1])
      expect(length).toBeCloseTo(100, 6)
    }
  })

  it('travels along the approach direction to the item’s middle', () => {
    const m = buildScene({
      rotation: fromApproach({ tiltDeg: 40, azimuthDeg: 110, rollDeg: 20 }),
      closing: 0.5,
    })
    const d = distance(m.palm, m.aim)
    m.palm.forEach((v, i) => expect(v + m.approach[i]! * d).toBeCloseTo(m.aim[i]!, 9))
  })

  it('stands clear of the item and above the support', () => {
    for (const tiltDeg of [0, 25, 50]) {
      const m = buildScene({ rotation: fromApproach({ tiltDeg, azimuthDeg: 60, rollDeg: 0 }), closing: 0.2 })
      for (const f of m.fingers) for (const p of f.points) expect(p[2]).toBeGreaterThan(0)
      expect(distance(m.palm, m.aim)).toBeGreaterThan(
        genericHand.finger_length_mm + halfExtent([80, 60, 45], m.approach),
      )
    }
  })

  it('turns with the roll: a quarter turn brings the opening from x to y', () => {
    const m = buildScene({ rotation: down(90), closing: 0 })
    m.opening.forEach((v, i) => expect(v).toBeCloseTo([0, 1, 0][i]!, 9))
  })
})

describe('fingers around the palm', () => {
  it.each([
    [2, 2],
    [3, 3],
    [4, 4],
    [4, 2],
    [6, 3],
    [5, 5],
  ])('%d fingers repeat after 1/%d of a turn', (n, fold) => {
    const angles = fingerAngles(n, fold)
    expect(angles).toHaveLength(n)
    const key = (a: number) =>
      [Math.cos(a).toFixed(6), Math.sin(a).toFixed(6)]
        .map((s) => s.replace('-0.000000', '0.000000'))
        .join(',')
    const turned = angles.map((a) => key(a + (2 * Math.PI) / fold)).sort()
    expect(turned).toEqual(angles.map(key).sort())
  })

  it('sets one finger against the others where there is no symmetry', () => {
    const angles = fingerAngles(4, 1)
    expect(angles[0]).toBeCloseTo(Math.PI, 12)
    expect(angles.slice(1).every((a) => Math.abs(a) < Math.PI / 2)).toBe(true)
  })
})

describe('item and setting', () => {
  it('rests on the support, at its placement offset', () => {
    const m = buildScene({ rotation: identity, closing: 0, offsetMM: [3, -2], item: genericItem })
    expect(m.item.centre).toEqual([3, -2, 22.5])
    expect(m.aim).toEqual([0, 0, 22.5])
  })

  it('puts wall and edge at their gaps on +x', () => {
    const setting = { name: 's', support: 'table', wall: true, wall_gap_mm: 15, edge: false, edge_gap_mm: 0 }
    expect(buildScene({ rotation: identity, closing: 0, item: genericItem, setting }).wall!.x).toBe(55)
    const ended = buildScene({
      rotation: identity,
      closing: 0,
      item: genericItem,
      setting: { ...setting, wall: false, edge: true, edge_gap_mm: 7 },
    })
    expect(ended.wall).toBeNull()
    expect(ended.support.maxX).toBe(47)
  })

  it('draws a crescent inside its extents', () => {
    const { line, radius } = crescentLine([140, 70, 50])
    line.forEach((p, i) => {
      expect(Math.abs(p[0])).toBeLessThanOrEqual(70.001)
      expect(p[1] + radius[i]!).toBeLessThanOrEqual(35.001)
      expect(p[1] - radius[i]!).toBeGreaterThanOrEqual(-35.001)
    })
  })
})

describe('words', () => {
  it('say the same as the picture', () => {
    const text = describeScene({
      rotation: fromApproach({ tiltDeg: 30, azimuthDeg: 90, rollDeg: 0 }),
      closing: 0.7,
      hand: {
        ...genericHand,
        name: 'Three-finger air hand',
        fingers: 3,
        command_unit: 'kPa',
        command_full: 80,
      },
      item: { ...genericItem, name: 'Croissant' },
      setting: {
        name: 'Belt',
        support: 'conveyor',
        wall: true,
        wall_gap_mm: 20,
        edge: false,
        edge_gap_mm: 0,
      },
      offsetMM: [4, -1.5],
    })
    expect(text).toBe(
      'Palm tilted 30° towards azimuth 90°, roll 0°, heading 90°; Three-finger air hand with 3 fingers, closing 0.70 (56 kPa); Croissant on the conveyor, wall 20 mm beside it on +x; placed off by +4.0 mm along x, −1.5 mm along y.',
    )
  })

  it('need no azimuth straight down', () => {
    expect(describeScene({ rotation: down(45), closing: 0 })).toBe(
      'Palm straight down, hand turned to heading 45°.',
    )
    expect(closingText(0.5, { command_unit: 'mm', command_full: 12 })).toBe('closing 0.50 (6.0 mm)')
  })
})
