import { describe, expect, it } from 'vitest'
import type { BenchColumn, BenchFigure, BenchSeries } from '../api'
import {
  byHeader,
  clipped,
  curves,
  decades,
  family,
  interval,
  readPaste,
  short,
  toCSV,
  weibullHeight,
  weibullShare,
  whiskers,
} from './bench'

const column = (name: string, optional = false): BenchColumn => ({
  name,
  meaning: '',
  words: [],
  text: false,
  optional,
  positive: false,
  natural: false,
})
const series = (name: string, draw: BenchSeries['draw'], xs: number[], ys: number[]): BenchSeries => ({
  name,
  x: 'cycles',
  y: 'share',
  draw,
  xs,
  ys,
})

describe('values', () => {
  it('have four digits and a real minus', () => {
    expect(short(-0.0314159)).toBe('−0.03142')
    expect(short(123456)).toBe('123,500')
    expect(short(3e-7)).toBe('3.00e−7')
    expect(short(undefined)).toBe('–')
  })
  it('say which limit is missing', () => {
    const f = { value: 1, low: 0.5 } as BenchFigure
    expect(interval(f)).toBe('from 0.5')
    expect(interval({ ...f, high: 2 })).toBe('0.5 to 2')
    expect(interval({ value: 1 } as BenchFigure)).toBe('–')
  })
})

describe('curves', () => {
  it('draw repetitions alike', () => {
    expect(family('cycle 3, closing')).toBe('closing')
    expect(family('sideways, cycle 2, loading')).toBe('sideways, loading')
    const c = curves(
      [series('cycle 1', 'line', [0, 1], [1, 2]), series('cycle 2', 'line', [0, 1], [1, 3])],
      false,
    )
    expect(c.families).toHaveLength(2)
    expect(c.x.low).toBe(0)
    expect(c.y.high).toBeGreaterThan(3)
  })
  it('make a Weibull law straight', () => {
    const xs = [1000, 2000, 4000]
    const law = series(
      'law',
      'line',
      xs,
      xs.map((x) => -Math.expm1(-((x / 3000) ** 2))),
    )
    const { drawn } = curves([law], true)
    const slope = (i: number) =>
      (drawn[0]!.py[i + 1]! - drawn[0]!.py[i]!) / (drawn[0]!.px[i + 1]! - drawn[0]!.px[i]!)
    expect(slope(0)).toBeCloseTo(slope(1), 9)
    expect(slope(0)).toBeCloseTo(2 * Math.LN10, 9)
    expect(weibullShare(weibullHeight(0.3))).toBeCloseTo(0.3, 12)
  })
  it('stand as bars on nothing, over their names, with whiskers', () => {
    const c = curves(
      [series('price', 'bars', [0.9], [3]), series('interval', 'whiskers', [0.9, 0.9], [2, 5])],
      false,
      2,
    )
    expect(c.x).toEqual({ low: 0.5, high: 2.5, ticks: [1, 2] })
    expect(c.y.low).toBe(0)
    expect(c.y.high).toBeGreaterThan(5)
    expect(whiskers([10, 10], [40, 20])).toBe('M10 40V20M5 40h10M5 20h10')
    expect(clipped('Anemone, four air fingers', 8)).toBe('Anemone…')
  })
  it('leave out what has no place on such axes', () => {
    expect(curves([series('a', 'points', [0, 10], [0.5, 1])], true).drawn[0]!.px).toEqual([])
    expect(decades(0, 1)).toHaveLength(4)
  })
})

describe('tables', () => {
  const columns = [column('setup', true), column('load_N')]
  it('become CSV without empty rows and columns', () => {
    expect(
      toCSV(columns, [
        ['', '1'],
        ['', ''],
        ['', '2'],
      ]),
    ).toBe('load_N\n1\n2\n')
    expect(toCSV(columns, [['a "b", c', '1']])).toBe('setup,load_N\n"a ""b"", c",1\n')
  })
  it('are pasted with or without a header', () => {
    expect(readPaste('1\t2\r\n3\t4\n')).toEqual([
      ['1', '2'],
      ['3', '4'],
    ])
    expect(byHeader(columns, readPaste('load_N;other\n5;x'))).toEqual([['', '5']])
    expect(byHeader(columns, [['a', '5']])).toEqual([['a', '5']])
  })
})
