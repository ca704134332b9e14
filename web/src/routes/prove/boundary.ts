/** The boundaries of a plan as shapes: column n is the state after n trials, a whole unit wide and centred on n. */

export interface Turn {
  /** From this many trials on. */
  trials: number
  /** Accepted with so many failures or fewer; null: not here. */
  accept: number | null
  /** Rejected with so many failures or more; null: not here. */
  reject: number | null
}

/** The places where a boundary changes, for reading as a table. */
export function turns(accept: number[], reject: number[]): Turn[] {
  const list: Turn[] = []
  for (let i = 0; i < accept.length; i++) {
    const a = accept[i]! >= 0 ? accept[i]! : null
    const r = reject[i]! <= i + 1 ? reject[i]! : null
    const last = list.at(-1)
    if (!last || last.accept !== a || last.reject !== r) list.push({ trials: i + 1, accept: a, reject: r })
  }
  return list
}

/** The largest number of failures that the drawing has to show. */
export function mostFailures(accept: number[], reject: number[], seen: number): number {
  let most = Math.max(2, seen)
  for (let i = 0; i < reject.length; i++) {
    if (reject[i]! <= i + 1) most = Math.max(most, reject[i]!)
    most = Math.max(most, accept[i]!)
  }
  return most + 0.5
}

/** Outline of where runs are accepted, in trials and failures; empty where nothing is. */
export function acceptedArea(accept: number[]): [number, number][] {
  const from = accept.findIndex((a) => a >= 0)
  if (from < 0) return []
  const points: [number, number][] = [[from + 0.5, -0.5]]
  for (let i = from; i < accept.length; i++) {
    const top = accept[i]! >= 0 ? accept[i]! + 0.5 : -0.5
    points.push([i + 0.5, top], [i + 1.5, top])
  }
  points.push([accept.length + 0.5, -0.5])
  return points
}

/** Outline of where runs are rejected, up to the top of the drawing. */
export function rejectedArea(reject: number[], top: number): [number, number][] {
  const reached = reject.map((r, i) => r <= i + 1)
  const from = reached.indexOf(true)
  if (from < 0) return []
  const points: [number, number][] = [[from + 0.5, top]]
  for (let i = from; i < reject.length; i++) {
    const low = reached[i] ? reject[i]! - 0.5 : top
    points.push([i + 0.5, low], [i + 1.5, low])
  }
  points.push([reject.length + 0.5, top])
  return points
}

/** Round steps for an axis from 0 to most, about so many of them. */
export function ticks(most: number, about: number): number[] {
  const rough = most / about
  const scale = 10 ** Math.floor(Math.log10(rough))
  const step = [1, 2, 5, 10].map((m) => m * scale).find((s) => s >= rough * 0.999)!
  const list: number[] = []
  for (let i = 0; i * step <= most * (1 + 1e-9); i++) list.push(Number((i * step).toPrecision(9)))
  return list
}
