/** Bench records as the page shows them: values, curves of a plot, tables that are typed or pasted. */
import type { BenchColumn, BenchFigure, BenchSeries } from '../api'

/** A figure with four digits. */
export function short(value: number | null | undefined): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–'
  if (value !== 0 && (Math.abs(value) >= 1e7 || Math.abs(value) < 1e-4))
    return value.toExponential(2).replaceAll('-', '−')
  return value.toLocaleString('en', { maximumSignificantDigits: 4 }).replace('-', '−')
}

/** The interval in words; what the record does not limit is said. */
export function interval(f: Pick<BenchFigure, 'low' | 'high'>): string {
  if (f.low === undefined && f.high === undefined) return '–'
  if (f.low === undefined) return `up to ${short(f.high)}`
  if (f.high === undefined) return `from ${short(f.low)}`
  return `${short(f.low)} to ${short(f.high)}`
}

/** Repetitions of one curve are drawn alike and named once. */
export function family(name: string): string {
  return (
    name
      .replace(/cycle [^,]+(, )?/, '')
      .replace(/, $/, '')
      .trim() || name
  )
}

/** Where a share stands on an axis on which a Weibull law is straight. */
export const weibullHeight = (share: number) => Math.log(-Math.log1p(-share))
export const weibullShare = (height: number) => -Math.expm1(-Math.exp(height))

export interface Drawn extends BenchSeries {
  family: number
  px: number[]
  py: number[]
}
export interface Curves {
  drawn: Drawn[]
  families: { name: string; draw: BenchSeries['draw'] }[]
  x: { low: number; high: number; ticks?: number[] }
  y: { low: number; high: number; ticks?: number[] }
}

const shares = [0.001, 0.01, 0.05, 0.1, 0.2, 0.5, 0.8, 0.95, 0.99, 0.999]

/** How wide a bar is, in units of x. */
export const barWidth = 0.2

/** Whiskers between even points and those after them, in pixels, with feet across. */
export function whiskers(xs: number[], ys: number[]): string {
  return xs
    .flatMap((x, i) => (i % 2 ? [] : [[x, ys[i]!, ys[i + 1]!] as const]))
    .map(([x, a, b]) => `M${x} ${a}V${b}M${x - 5} ${a}h10M${x - 5} ${b}h10`)
    .join('')
}

/** A name with at most so many letters. */
export function clipped(name: string, most: number): string {
  const room = Math.max(2, Math.floor(most))
  return name.length <= room ? name : name.slice(0, room - 1) + '…'
}

/** Curves with what they have in common: kinds of line, and the ranges of both axes, x over so many names where it has them. */
export function curves(series: BenchSeries[], weibull: boolean, labels = 0): Curves {
  const names: Curves['families'] = []
  const drawn: Drawn[] = []
  for (const s of series) {
    const name = family(s.name)
    let at = names.findIndex((n) => n.name === name && n.draw === s.draw)
    if (at < 0) at = names.push({ name, draw: s.draw }) - 1
    const keep = (s.xs ?? [])
      .map((x, i) => [x, (s.ys ?? [])[i]!] as const)
      .filter(([x, y]) => !weibull || (x > 0 && y > 0 && y < 1))
    drawn.push({
      ...s,
      family: at,
      px: keep.map(([x]) => (weibull ? Math.log10(x) : x)),
      py: keep.map(([, y]) => (weibull ? weibullHeight(y) : y)),
    })
  }
  const xs = drawn.flatMap((d) => d.px)
  const ys = drawn.flatMap((d) => d.py)
  const span = (list: number[], zero: boolean) => {
    let low = Math.min(...list)
    let high = Math.max(...list)
    if (!list.length) return { low: 0, high: 1 }
    // A scale that nearly begins at nothing begins there.
    if (zero && low > 0 && low < 0.4 * high) low = 0
    const edge = 0.05 * (high - low || Math.abs(high) || 1)
    return { low: low === 0 && zero ? 0 : low - edge, high: high + edge }
  }
  const x = span(xs, !weibull)
  const y = span(ys, !weibull)
  if (series.some((s) => s.draw === 'bars')) y.low = 0
  const places = Array.from({ length: labels }, (_, i) => i + 1)
  if (labels) return { drawn, families: names, x: { low: 0.5, high: labels + 0.5, ticks: places }, y }
  if (!weibull) return { drawn, families: names, x, y }
  return {
    drawn,
    families: names,
    x: { ...x, ticks: decades(x.low, x.high) },
    y: { ...y, ticks: shares.map(weibullHeight).filter((t) => t >= y.low && t <= y.high) },
  }
}

/** Logarithms of round values inside a range of logarithms: 1, 2 and 5 of each power of ten. */
export function decades(low: number, high: number): number[] {
  const out: number[] = []
  for (let p = Math.floor(low); p <= Math.ceil(high); p++)
    for (const m of [1, 2, 5]) {
      const t = p + Math.log10(m)
      if (t >= low && t <= high) out.push(t)
    }
  return out
}

const quoted = (cell: string) => (/[",\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell)

/** Typed rows as CSV; rows in which nothing was typed are left out. */
export function toCSV(columns: BenchColumn[], rows: string[][]): string {
  const used = columns.filter((c, i) => !c.optional || rows.some((r) => r[i]?.trim()))
  const at = used.map((c) => columns.indexOf(c))
  const lines = rows
    .filter((r) => r.some((cell) => cell.trim()))
    .map((r) => at.map((i) => quoted((r[i] ?? '').trim())).join(','))
  return [used.map((c) => c.name).join(','), ...lines].join('\n') + '\n'
}

/** What was pasted from a table: rows of cells; tabs, semicolons or commas stand between them. */
export function readPaste(text: string): string[][] {
  const lines = text
    .replaceAll('\r\n', '\n')
    .split('\n')
    .filter((l) => l.trim())
  const mark = ['\t', ';', ','].find((m) => lines[0]?.includes(m)) ?? '\t'
  return lines.map((l) => l.split(mark).map((cell) => cell.trim()))
}

/** Pasted rows put in order by their header, where the first of them is one. */
export function byHeader(columns: BenchColumn[], pasted: string[][]): string[][] {
  const head = pasted[0]?.map((h) => h.toLowerCase()) ?? []
  const at = columns.map((c) => head.indexOf(c.name.toLowerCase()))
  if (!at.some((i) => i >= 0)) return pasted
  return pasted.slice(1).map((row) => at.map((i) => (i < 0 ? '' : (row[i] ?? ''))))
}
