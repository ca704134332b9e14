import { describe, expect, it } from 'vitest'
import { keep, load, passes, waitSeconds, type Box, type Pending } from './pending'

function box(): Box & { map: Map<string, string> } {
  const map = new Map<string, string>()
  return {
    map,
    getItem: (k) => map.get(k) ?? null,
    setItem: (k, v) => void map.set(k, v),
    removeItem: (k) => void map.delete(k),
  }
}

const entry: Pending = { trial: { key: 'a', outcome: 'held', order: 3 }, label: 'held', attempts: 0 }

describe('waiting trials', () => {
  it('survive a reload, each study its own', () => {
    const b = box()
    expect(keep(b, 's', [entry])).toBe(true)
    expect(load(b, 's')).toEqual([entry])
    expect(load(b, 'other')).toEqual([])
    keep(b, 's', [])
    expect(b.map.size).toBe(0)
  })

  it('shrug off unreadable leftovers', () => {
    const b = box()
    b.setItem('holdfast.pending.s', '{not json')
    expect(load(b, 's')).toEqual([])
    b.setItem('holdfast.pending.s', JSON.stringify([null, 7, { trial: {} }, entry]))
    expect(load(b, 's')).toEqual([entry])
  })

  it('say so when the browser does not store', () => {
    const full: Box = {
      ...box(),
      setItem: () => {
        throw new Error('quota')
      },
    }
    expect(keep(full, 's', [entry])).toBe(false)
  })
})

describe('trying again', () => {
  it('waits longer each time, at most a quarter of a minute', () => {
    expect([1, 2, 3, 4, 5, 9].map(waitSeconds)).toEqual([1, 2, 4, 8, 15, 15])
  })

  it('only where trouble passes by itself', () => {
    expect([0, 503, 500, 429].every(passes)).toBe(true)
    expect([400, 404, 409, 422].some(passes)).toBe(false)
  })
})
