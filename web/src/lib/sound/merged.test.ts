import { describe, expect, it } from 'vitest'
import type { TouchClip, TouchState } from '$lib/api'
import { merged } from './merged'

const clip = (id: number, label: number, zone: string): TouchClip =>
  ({ id, label, zone, leave_out: false, by: 'ada' }) as TouchClip
const state = (since: number, newest: number, clips: TouchClip[], stale = false): TouchState => ({
  since,
  newest,
  clips,
  stale,
})
const zones = (s: TouchState) => s.clips.map((c) => c.zone).join(' ')

describe('what is known of sounds', () => {
  const all = state(0, 3, [clip(1, 1, 'root'), clip(2, 2, 'pad'), clip(3, 3, 'tip')])

  it('takes what changed and keeps the rest in order', () => {
    const now = merged(all, state(3, 5, [clip(2, 4, 'tip'), clip(4, 5, 'root')], true))
    expect(zones(now)).toBe('root tip tip root')
    expect(now).toMatchObject({ since: 0, newest: 5, stale: true })
  })
  it('does not go back when answers overtake one another', () => {
    const label = state(3, 5, [clip(1, 5, 'pad'), clip(2, 4, 'tip')], true)
    const late = state(3, 4, [clip(2, 4, 'tip')], false)
    const one = merged(merged(all, label), late)
    expect(one).toEqual(merged(merged(all, late), label))
    expect(zones(one)).toBe('pad tip tip')
  })
  it('is what a whole answer says', () => {
    const other = state(0, 1, [clip(1, 1, 'root')])
    expect(merged(all, other)).toBe(other)
    expect(merged(undefined, other)).toBe(other)
  })
})
