import { describe, expect, test } from 'vitest'
import type { Condition } from '$lib/api'
import { chosen, comparable } from './choice'

const row = (item: string, strategy: string, trials: number, held: number): Condition => ({
  hand: 'bellows',
  item,
  setting: 'tray',
  strategy,
  trials,
  held,
})
const rows = [
  row('bun', 'free', 40, 20),
  row('bun', 'wall-guided', 40, 32),
  row('tart', 'free', 60, 10),
  row('tart', 'wall-guided', 60, 50),
  row('egg', 'free', 500, 100),
]
const address = (o: Record<string, string>) => (name: string) => o[name] ?? null

describe('what is compared', () => {
  test('only factors with two levels', () => {
    expect(comparable(rows)).toEqual(['strategy', 'item'])
    expect(comparable(rows.slice(0, 1))).toEqual([])
    expect(chosen([rows[0]!], address({}))).toBeNull()
  })
  test('the better one first, at one item where both were tried', () => {
    const c = chosen(rows, address({ item: 'bun' }))!
    expect(c).toMatchObject({ by: 'strategy', a: 'wall-guided', b: 'free', mapped: true })
    expect(c.rest).toEqual({ hand: 'bellows', item: 'bun', setting: 'tray' })
  })
  test('an item with one strategy only is not fixed', () => {
    expect(chosen(rows, address({}))!.rest.item).toBe('')
  })
  test('all items together have no map each', () => {
    const c = chosen(rows, address({ item: 'all' }))!
    expect(c.rest.item).toBe('')
    expect(c.mapped).toBe(false)
  })
  test('never a level with itself', () => {
    const c = chosen(rows, address({ item: 'bun', a: 'free', b: 'free' }))!
    expect([c.a, c.b]).toEqual(['free', 'wall-guided'])
    expect(chosen(rows, address({ item: 'bun', b: 'wall-guided' }))).toMatchObject({
      a: 'free',
      b: 'wall-guided',
    })
  })
})
