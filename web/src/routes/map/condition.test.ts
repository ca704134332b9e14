import { describe, expect, it } from 'vitest'
import { pickCondition, valuesOf } from './condition'

const condition = (hand: string, item: string, strategy: string, trials: number) => ({
  hand,
  item,
  setting: 's',
  strategy,
  trials,
  held: 0,
})
const all = [
  condition('a', 'roll', 'free', 10),
  condition('a', 'roll', 'scoop', 40),
  condition('b', 'egg', 'free', 20),
]

describe('condition', () => {
  it('starts with the one that has most trials', () => expect(pickCondition(all, {})).toBe(all[1]))
  it('is the one that the address names', () =>
    expect(pickCondition(all, { hand: 'a', item: 'roll', strategy: 'free' })).toBe(all[0]))
  it('gives way in the other parts when one part is changed to something rare', () =>
    expect(pickCondition(all, { hand: 'a', item: 'egg', strategy: 'scoop' }, 'item')).toBe(all[2]))
  it('is none without trials', () => expect(pickCondition([], { hand: 'a' })).toBeNull())
  it('lists what occurs', () => expect(valuesOf(all, 'hand')).toEqual(['a', 'b']))
})
