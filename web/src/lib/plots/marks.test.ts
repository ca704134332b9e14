import { describe, expect, it } from 'vitest'
import { MarkSet, fan, heaps } from './marks'
import { benchOutcomes, outcome, outcomeOfKey, outcomes } from './outcomes'

function columns(n: number) {
  const at = Array.from({ length: n }, (_, i) => i)
  return {
    trial: at.map((i) => i + 1),
    tilt_deg: at.map((i) => (i * 7) % 60),
    azimuth_deg: at.map((i) => (i * 13) % 360),
    heading_deg: at.map((i) => (i * 29) % 360),
    counted: at.map((i) => i % 2),
    outcomes: ['held', 'missed'],
  }
}

describe('marks by heading', () => {
  it('finds exactly the trials within the window, as a plain search does', () => {
    const given = columns(2000)
    const set = new MarkSet(given, 60, 1)
    for (const [centre, window] of [
      [0, 10],
      [355, 12.5],
      [90, 0.5],
      [181.3, 47],
    ] as const) {
      const found = [...set.within(centre, window)].sort((a, b) => a - b)
      const plain = given.heading_deg
        .map((h, i) => ({ d: Math.abs(((((h - centre) % 360) + 540) % 360) - 180), i }))
        .filter((m) => m.d <= window + 1e-4)
        .map((m) => m.i)
      expect(found).toEqual(plain)
    }
  })

  it('repeats after the map’s period and shows everything without a window', () => {
    const set = new MarkSet(columns(500), 60, 2)
    expect([...set.within(10, 5)].sort()).toEqual([...set.within(190, 5)].sort())
    expect(set.within(0, null).length).toBe(500)
    expect(set.within(0, 90).length).toBe(500)
  })

  it('counts trials beyond the rim instead of drawing them', () => {
    const set = new MarkSet(columns(100), 30, 1)
    expect(set.beyond).toBeGreaterThan(0)
    expect(set.within(0, null).length).toBe(100 - set.beyond)
  })

  it('finds the nearest first', () => {
    const set = new MarkSet(
      {
        trial: [1, 2, 3],
        tilt_deg: [0, 10, 50],
        azimuth_deg: [0, 0, 180],
        heading_deg: [0, 0, 0],
        counted: [0, 0, 0],
        outcomes: ['held'],
      },
      60,
      1,
    )
    expect(set.near(set.within(0, null), 0.05, 0, 0.4, 5).map((i) => set.trial[i])).toEqual([1, 2])
  })

  it('takes an empty study', () => {
    const set = new MarkSet(
      { trial: null, tilt_deg: null, azimuth_deg: null, heading_deg: null, counted: null, outcomes: null },
      60,
      1,
    )
    expect(set.within(0, 10).length).toBe(0)
    expect(heaps(set, set.within(0, null), 0.1)).toEqual([])
  })
})

describe('gathering', () => {
  it('loses no trial and keeps the share held', () => {
    const set = new MarkSet(columns(2000), 60, 1)
    const list = heaps(set, set.within(0, null), 0.1)
    expect(list.reduce((n, h) => n + h.total, 0)).toBe(2000)
    expect(list.reduce((n, h) => n + h.held, 0)).toBe(1000)
  })

  it('fans marks at one spot out without overlap', () => {
    const places = Array.from({ length: 12 }, (_, k) => fan(k, 8))
    for (let i = 0; i < places.length; i++) {
      for (let j = 0; j < i; j++)
        expect(Math.hypot(places[i]![0] - places[j]![0], places[i]![1] - places[j]![1])).toBeGreaterThan(7)
    }
  })
})

describe('outcomes', () => {
  it('have each a key and a shape of their own on the run page', () => {
    expect(new Set(benchOutcomes.map((o) => o.key)).size).toBe(benchOutcomes.length)
    expect(new Set(outcomes.map((o) => o.path)).size).toBe(outcomes.length)
    expect(outcomeOfKey('1')?.id).toBe('held')
    expect(outcomeOfKey('8')?.id).toBe('void')
    expect(outcomeOfKey('9')).toBeUndefined()
    expect(outcomeOfKey('')).toBeUndefined()
  })

  it('keep an unknown word', () => expect(outcome('melted').label).toBe('melted'))
})
