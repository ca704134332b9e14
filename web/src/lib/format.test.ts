import { expect, test } from 'vitest'
import { count, facts, fixed, hours, moment, number, percent, quantity } from './format'

test('per cent never rounds to certainty', () => {
  expect(percent(0.5)).toBe('50\u00a0%')
  expect(percent(0)).toBe('0\u00a0%')
  expect(percent(1)).toBe('100\u00a0%')
  expect(percent(0.996)).toBe('99.6\u00a0%')
  expect(percent(0.99999)).toBe('>99.9\u00a0%')
  expect(percent(0.00001)).toBe('<0.1\u00a0%')
  expect(percent(NaN)).toBe('–')
})

test('numbers carry a real minus, and no minus zero', () => {
  expect(number(-1.25)).toBe('−1.2')
  expect(number(-0.01)).toBe('0')
  expect(number(12345.678, 2)).toBe('12,345.68')
  expect(number(undefined)).toBe('–')
  expect(fixed(-0.04)).toBe('0.0')
  expect(fixed(-33.66)).toBe('−33.7')
  expect(fixed(86)).toBe('86.0')
  expect(fixed(null)).toBe('–')
})

test('units stand where the trade puts them', () => {
  expect(quantity(12.5, '°')).toBe('12.5°')
  expect(quantity(12.5, 'mm')).toBe('12.5\u202fmm')
  expect(facts(['a', '', false, 'b'])).toBe('a\u00a0· b')
  expect(count(1, 'trial')).toBe('1 trial')
  expect(count(1200, 'study', 'studies')).toBe('1,200 studies')
})

test('hours in words', () => {
  expect(hours(0.4)).toBe('24 min')
  expect(hours(0.9999)).toBe('1 h')
  expect(hours(3.1667)).toBe('3 h 10 min')
  expect(hours(40)).toBe('40 h')
})

test('a time that was never set is a dash', () => {
  expect(moment('0001-01-01T00:00:00Z')).toBe('–')
  expect(moment(undefined)).toBe('–')
  expect(moment('not a time')).toBe('–')
})
