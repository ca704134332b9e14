/** Names of quantities carry their unit at the end; here both come apart. */
const units: [ending: string, unit: string][] = [
  ['-N-per-mm', 'N/mm'],
  ['-mm', 'mm'],
]

export function unitOf(name: string): string {
  return units.find(([ending]) => name.endsWith(ending))?.[1] ?? ''
}

export function plainName(name: string): string {
  const ending = units.find(([e]) => name.endsWith(e))?.[0] ?? ''
  const words = name.slice(0, name.length - ending.length).replaceAll('-', ' ')
  return words.charAt(0).toUpperCase() + words.slice(1)
}

/** Trials saved, good for an order of magnitude: one significant digit, and no more than ten times those that were run. */
export function magnitude(n: number, run: number): string {
  if (n < 1) return 'none'
  if (n > 10 * run) return 'more than ' + (10 * run).toLocaleString('en')
  const step = 10 ** Math.floor(Math.log10(n))
  return 'about ' + (Math.round(n / step) * step).toLocaleString('en')
}
