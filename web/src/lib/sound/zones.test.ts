import { describe, expect, it } from 'vitest'
import type { TouchClip } from '$lib/api'
import { layoutOf, zoneOfKey, zonesOf } from './zones'

const clip = (zone: string, position_mm?: number, leave_out = false) =>
  ({ zone, position_mm, leave_out }) as TouchClip

describe('zones along a finger', () => {
  it('meet half way between the touches of neighbours', () => {
    const l = layoutOf(
      ['root', 'tip'],
      [clip('root', 20), clip('root', 40), clip('tip', 50), clip('tip', 80)],
    )
    expect(l).toEqual({
      spans: [
        { zone: 'root', from: 20, to: 45 },
        { zone: 'tip', from: 45, to: 80 },
      ],
      from: 20,
      to: 80,
      inMm: true,
    })
  })
  it('are drawn equally long where one has no place', () => {
    const l = layoutOf(['root', 'tip'], [clip('root', 20), clip('tip')])
    expect(l.inMm).toBe(false)
    expect(l.spans.map((s) => s.to - s.from)).toEqual([1, 1])
  })
  it('pass over what is left out', () => {
    expect(layoutOf(['a'], [clip('a', 10), clip('a', 30), clip('a', 900, true)]).to).toBe(30)
  })
  it('may be none where only places are known', () => {
    expect(layoutOf([], [clip('', 10), clip('', 30)])).toEqual({ spans: [], from: 10, to: 30, inMm: true })
    expect(layoutOf([], [])).toEqual({ spans: [], from: 0, to: 1, inMm: false })
  })
  it('never run backwards', () => {
    for (const s of layoutOf(
      ['a', 'b', 'c'],
      [clip('a', 1), clip('a', 90), clip('b', 50), clip('c', 2), clip('c', 60)],
    ).spans)
      expect(s.to).toBeGreaterThanOrEqual(s.from)
  })
  it('have keys along the finger, those without a place last and by name', () => {
    const clips = [
      clip('zone 10'),
      clip('tip', 80),
      clip('zone 9'),
      clip('root', 20),
      clip('tip', 70),
      clip('tip'),
    ]
    expect(zonesOf([], clips)).toEqual(['root', 'tip', 'zone 9', 'zone 10'])
  })
  it('keep their keys while clips are labelled', () => {
    const before = zonesOf([], [clip('tip', 80), clip('root', 20)])
    expect(zonesOf(['palm'], [clip('tip', 10), clip('new', 1)], before)).toEqual([
      'root',
      'tip',
      'palm',
      'new',
    ])
  })
  it('have keys: the model’s first, then those of labels', () => {
    const zones = zonesOf(['root', 'tip'], [clip('tip'), clip('palm'), clip('')])
    expect(zones).toEqual(['root', 'tip', 'palm'])
    expect([
      zoneOfKey('1', zones),
      zoneOfKey('3', zones),
      zoneOfKey('4', zones),
      zoneOfKey('0', zones),
      zoneOfKey('x', zones),
    ]).toEqual(['root', 'palm', undefined, undefined, undefined])
  })
})
