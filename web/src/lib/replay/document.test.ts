// @vitest-environment node
import { readFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { describe, expect, test } from 'vitest'
import {
  arrowScale,
  check,
  contactsAt,
  describeMoment,
  forceAxis,
  frameAt,
  lastTime,
  momentAt,
  ofHand,
  phaseFacts,
  readReplay,
  size,
} from './document'

const kept = (name: string) => new Blob([readFileSync(`../replay/testdata/${name}.json.gz`)])
const held = await readReplay(kept('held'))
const lost = await readReplay(kept('lost'))

describe('a replay', () => {
  test('is read with all that it holds', () => {
    expect(held.outcome).toBe('held')
    expect(held.fingers).toEqual(['thumb', 'left finger', 'right finger'])
    expect(held.seed).toBe('18446744073709551615')
    expect(held.links).toHaveLength(9)
  })

  test('gives the frame of a moment and the way to the next', () => {
    expect(frameAt(held, -1)).toBe(0)
    expect(frameAt(held, 1e9)).toBe(held.time_s.length - 1)
    for (const k of [0, 7, held.time_s.length - 1]) expect(frameAt(held, held.time_s[k]!)).toBe(k)
    const between = (held.time_s[3]! + held.time_s[4]!) / 2
    expect(momentAt(held, between)).toEqual({ frame: 3, next: 4, share: expect.closeTo(0.5, 6) })
  })

  test('tells contacts whose forces add up to what the film says of the item', () => {
    const k = frameAt(held, 1)
    const hand = contactsAt(held, k).filter((c) => ofHand(c.from) && c.to.kind === 'item')
    expect(hand.length).toBeGreaterThanOrEqual(3)
    for (const axis of [0, 1, 2])
      expect(hand.reduce((sum, c) => sum + c.force[axis]!, 0)).toBeCloseTo(held.on_item_N[k]![axis]!, 1)
    expect(Math.max(...hand.map((c) => size(c.force)))).toBeCloseTo(held.largest_contact_N[k]!, 2)
  })

  test('is told phase by phase', () => {
    const phases = phaseFacts(held)
    expect(phases.map((p) => p.name)).toEqual(['move to above', 'move to grasp', 'close', 'lift', 'hold'])
    expect(phases.every((p) => p.endedBy === 'time')).toBe(true)
    expect(phases.reduce((sum, p) => sum + p.lasts, 0)).toBeCloseTo(lastTime(held) - held.time_s[0]!, 6)
    expect(phases[2]!.grip).toBeGreaterThan(3)
    const short = phaseFacts(lost)
    expect(short.some((p) => p.sliding)).toBe(true)
    expect(short[2]).toMatchObject({
      name: 'press',
      endedBy: 'force',
      begins: short[3]!.begins,
      lasts: 0,
      grip: NaN,
    })
    const missing = short.filter((p) => Number.isNaN(p.begins))
    expect(missing).toHaveLength(1)
    for (const p of missing) expect(p.endedBy).toBe('not reached')
  })

  test('has a round scale for its arrows and an axis above all that grips', () => {
    expect([1, 2, 5]).toContain(Number(arrowScale([held]).toExponential().split('e')[0]))
    const axis = forceAxis([held, lost])
    for (const d of [held, lost]) expect(axis).toBeGreaterThan(Math.max(...d.grip_N))
    expect(describeMoment(held, 1)).toMatch(/At 1\.\d\d s, phase lift: .* grip \d+\.\d N at \d+ contacts/)
  })

  test('is refused with a sentence when something does not fit', async () => {
    await expect(readReplay(new Blob(['no gzip']))).rejects.toThrow('not packed with gzip')
    await expect(readReplay(new Blob([gzipSync('once')]))).rejects.toThrow('no JSON')
    expect(() => check({ format: 'holdfast-replay/2' })).toThrow('format')
    expect(() => check(null)).toThrow('format')
    expect(() => check({ ...held, time_s: [] })).toThrow('no frames')
    expect(() => check({ ...held, felt_N: held.felt_N.slice(1) })).toThrow('felt_N')
    expect(() => check({ ...held, links_mm: held.links_mm.map((r) => r.slice(1)) })).toThrow('links_mm')
    expect(() => check({ ...held, parts: [] })).toThrow('part that is not there')
  })
})
