import { expect, test } from 'vitest'
import { readNumber, readNumbers, writeNumber } from './numbers'

test.each([
  ['12', 12],
  [' 0.5 ', 0.5],
  ['0,5', 0.5],
  ['−3', -3],
  ['1e3', 1000],
  ['.5', 0.5],
  ['5.', 5],
])('%s is %d', (text, value) => expect(readNumber(text)).toBe(value))

test.each(['abc', '1 2', '1,2,3', '1.2.3', '12mm', '0x10', 'Infinity', '--1'])('%s is no number', (text) =>
  expect(readNumber(text)).toBeNaN(),
)

test('nothing is nothing', () => expect(readNumber('  ')).toBeNull())

test('lists may be set apart in any usual way', () => {
  expect(readNumbers('0 20 40')).toEqual([0, 20, 40])
  expect(readNumbers('0; 20,40')).toEqual([0, 20, 40])
  expect(readNumbers('0 x')).toEqual([0, NaN])
  expect(readNumbers('')).toEqual([])
})

test('what is written reads back', () => {
  for (const v of [0, 0.1 + 0.2, 1 / 3, 95, -1.5, 1e-9]) expect(readNumber(writeNumber(v))).toBeCloseTo(v, 11)
  expect(writeNumber(0.1 + 0.2)).toBe('0.3')
  expect(writeNumber(null)).toBe('')
})
