/** Round numbers between low and high, about as many as asked for; they reach over both ends. */
export function niceTicks(low: number, high: number, count: number): number[] {
  if (!Number.isFinite(low) || !Number.isFinite(high)) return []
  if (high <= low) high = low + 1
  const rough = (high - low) / Math.max(1, count - 1)
  const power = 10 ** Math.floor(Math.log10(rough))
  const step = power * ([1, 2, 2.5, 5].find((m) => m * power >= rough * 0.999) ?? 10)
  const from = Math.floor(low / step + 1e-9)
  const to = Math.ceil(high / step - 1e-9)
  const ticks: number[] = []
  for (let k = from; k <= to; k++) ticks.push(Number((k * step).toPrecision(12)))
  return ticks
}
