/** A straight scale from values to pixels, and ticks at round values. */
export interface Scale {
  (value: number): number
  ticks: number[]
}

/** Maps low … high to from … to; a range of nothing is widened so that a point stands in the middle. */
export function linear(low: number, high: number, from: number, to: number, wanted = 5): Scale {
  if (!(high > low)) [low, high] = [low - 0.5, low + 0.5]
  const scale = (value: number) => from + ((value - low) / (high - low)) * (to - from)
  return Object.assign(scale, { ticks: ticks(low, high, wanted) })
}

/** Round values inside the range, about so many: steps of 1, 2 or 5 times a power of ten. */
export function ticks(low: number, high: number, wanted = 5): number[] {
  const rough = (high - low) / Math.max(wanted, 1)
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough * 0.999) ?? 10 * power
  const first = Math.ceil(low / step - 1e-9)
  const last = Math.floor(high / step + 1e-9)
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)))
}
