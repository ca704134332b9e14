/** Where zones lie along a finger, by the clips that have both a zone and a place. */
import type { TouchClip } from '$lib/api'

/** A piece of the finger; from and to in mm where places are known, in zones otherwise. */
export interface Span {
  zone: string
  from: number
  to: number
}

export interface Layout {
  spans: Span[]
  /** Ends of the finger as it is drawn. */
  from: number
  to: number
  /** False: places are not known, zones are drawn equally long. */
  inMm: boolean
}

/** Zones side by side: each from half way to its neighbour below to half way to that above, by where it was touched. */
export function layoutOf(zones: string[], clips: TouchClip[]): Layout {
  const places = zones.map((zone) =>
    clips
      .filter((c) => c.zone === zone && !c.leave_out && c.position_mm !== undefined)
      .map((c) => c.position_mm!),
  )
  if (zones.length === 0 || places.some((list) => list.length === 0)) {
    const all = places.flat().concat(clips.flatMap((c) => (c.leave_out ? [] : (c.position_mm ?? []))))
    if (zones.length === 0 && all.length > 1) return ends([], Math.min(...all), Math.max(...all))
    return {
      spans: zones.map((zone, i) => ({ zone, from: i, to: i + 1 })),
      from: 0,
      to: Math.max(1, zones.length),
      inMm: false,
    }
  }
  const low = places.map((list) => Math.min(...list))
  const high = places.map((list) => Math.max(...list))
  // Zones may overlap where labels disagree; their middles say who ends where then.
  const edge = (i: number) => (high[i]! + low[i + 1]!) / 2
  const spans = zones.map((zone, i) => ({
    zone,
    from: i === 0 ? low[0]! : edge(i - 1),
    to: i === zones.length - 1 ? high[i]! : edge(i),
  }))
  for (const s of spans) if (s.to < s.from) [s.from, s.to] = [s.to, s.from]
  return ends(spans, spans[0]!.from, spans.at(-1)!.to)
}

function ends(spans: Span[], from: number, to: number): Layout {
  if (!(to > from)) [from, to] = [from - 1, to + 1]
  return { spans, from, to, inMm: true }
}

/**
 * The zones that keys stand for: those that had keys before, in their order, since a key must not change its meaning while
 * somebody labels; then the model's; then others that labels name, along the finger as far as places are known, by name else.
 */
export function zonesOf(model: string[], clips: TouchClip[], before: string[] = []): string[] {
  const sum = new Map<string, { mm: number; n: number }>()
  for (const { zone, position_mm } of clips) {
    if (!zone) continue
    const s = sum.get(zone) ?? { mm: 0, n: 0 }
    if (position_mm !== undefined) sum.set(zone, { mm: s.mm + position_mm, n: s.n + 1 })
    else sum.set(zone, s)
  }
  const middle = (zone: string) => {
    const { mm, n } = sum.get(zone)!
    return n ? mm / n : Infinity
  }
  const named = [...sum.keys()].sort((a, b) => {
    const [x, y] = [middle(a), middle(b)]
    return x === y ? a.localeCompare(b, 'en', { numeric: true }) : x - y
  })
  return [...new Set([...before, ...model, ...named])]
}

/** Which zone a digit stands for: 1 is the first. Undefined when there is none. */
export const zoneOfKey = (key: string, zones: string[]): string | undefined =>
  /^[1-9]$/.test(key) ? zones[Number(key) - 1] : undefined
