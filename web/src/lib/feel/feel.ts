/** What the picture of a first touch is drawn from. Places are mm in the palm's x and y, as seen along the approach: y goes down. */
import type { FeelAdvice, FeelAnswer, FeelCondition, FeelHand } from '$lib/api'
import { facts, fixed, number } from '$lib/format'

export type By = 'finger' | 'link'
export type Point = [number, number]

/** The entries that are drawn: each finger's own, or those of its links; a finger without links of its own stands in for them. */
export function shownRule(rule: readonly FeelAdvice[], by: By): FeelAdvice[] {
  if (by === 'finger') return rule.filter((a) => a.link === 0)
  return rule.filter((a) => a.link > 0 || !rule.some((b) => b.finger === a.finger && b.link > 0))
}

/** Where the hand was touched: the middle of the link, or for a whole finger the middle of its last one; the palm's middle else. */
export function touchedAt(hand: FeelHand | undefined, a: Pick<FeelAdvice, 'finger' | 'link'>): Point {
  const links = (hand?.links ?? []).filter((l) => l.finger === a.finger)
  const link = links.find((l) => l.link === a.link) ?? links.at(-1)
  if (!link) return [0, 0]
  return [(link.from_mm[0]! + link.to_mm[0]!) / 2, (link.from_mm[1]! + link.to_mm[1]!) / 2]
}

/** Where the arrow of an entry ends, or one with another move. */
export function movedTo(hand: FeelHand | undefined, a: FeelAdvice, move: number[] = a.move_mm): Point {
  const [x, y] = touchedAt(hand, a)
  return [x + move[0]!, y + move[1]!]
}

/** Whether an entry goes by the direction of the touch. */
export const directed = (a: FeelAdvice) => [...a.less_mm, ...a.more_mm].some((v) => v !== 0)

/** The smallest box, with margins at the sides and above and below, that holds hand, arrows and their intervals. */
export function frame(hand: FeelHand | undefined, rule: readonly FeelAdvice[], beside = 8, above = beside) {
  const xs: number[] = []
  const ys: number[] = []
  const add = ([x, y]: Point, dx: number, dy: number) => {
    xs.push(x - dx, x + dx)
    ys.push(y - dy, y + dy)
  }
  const palm = hand?.palm_radius_mm ?? 20
  add([0, 0], palm, palm)
  for (const l of hand?.links ?? []) {
    add([l.from_mm[0]!, l.from_mm[1]!], l.radius_mm, l.radius_mm)
    add([l.to_mm[0]!, l.to_mm[1]!], l.radius_mm, l.radius_mm)
  }
  for (const a of rule) {
    add(movedTo(hand, a), a.move_half_mm[0]!, a.move_half_mm[1]!)
    if (directed(a)) for (const m of [a.less_mm, a.more_mm]) add(movedTo(hand, a, m), 0, 0)
  }
  const x = Math.min(...xs) - beside
  const y = Math.min(...ys) - above
  return { x, y, w: Math.max(...xs) + beside - x, h: Math.max(...ys) + above - y }
}

/** An arrow's head, its point at the end; null where there is no way to point. */
export function head(from: Point, to: Point, size: number): string | null {
  const dx = to[0] - from[0]
  const dy = to[1] - from[1]
  const length = Math.hypot(dx, dy)
  if (length < 0.05) return null
  const s = Math.min(size, length)
  const [ux, uy] = [dx / length, dy / length]
  const at = (along: number, across: number) =>
    `${(to[0] - along * ux - across * uy).toFixed(2)} ${(to[1] - along * uy + across * ux).toFixed(2)}`
  return `M${at(s, s * 0.45)}L${at(0, 0)}L${at(s, -s * 0.45)}Z`
}

/** Whether any entry turns the wrist: a rule that was learnt in simulation does not. */
export const turns = (rule: readonly FeelAdvice[]) => rule.some((a) => a.turn_half_deg > 0)

/** The name of what was touched, with the finger's own where the hand gives it one. */
export function touchedName(a: FeelAdvice, hand?: FeelHand): string {
  const own = hand?.fingers[a.finger - 1]
  return own && own.toLowerCase().replace('-', ' ') !== `finger ${a.finger}`
    ? a.touched.replace(/^finger \d+/, (f) => `${f} (${own})`)
    : a.touched
}

/** An entry in words, for readers who do not see the arrow. */
export function inWords(a: FeelAdvice): string {
  const move = `x ${fixed(a.move_mm[0])} ± ${fixed(a.move_half_mm[0])} mm, y ${fixed(a.move_mm[1])} ± ${fixed(a.move_half_mm[1])} mm`
  const turn = a.turn_half_deg > 0 ? `, turn ${fixed(a.turn_deg)} ± ${fixed(a.turn_half_deg)}°` : ''
  return `${a.touched}: ${move}${turn}, ${a.trials} trials${a.too_few ? ', too few to tell' : ''}`
}

/** A difference of shares in points, with its sign. */
export function points(share: number): string {
  const text = number(100 * share, 1)
  return share > 0 && text !== '0' ? '+' + text : text
}

/** A verdict in words of its own, the harm and the chance as plain as the help. */
export function verdictWords(verdict: string): { title: string; kind: 'good' | 'care' | 'note' } {
  if (verdict === 'helps') return { title: 'Feeling first helps here, in simulation', kind: 'good' }
  if (verdict === 'harms') return { title: 'Feeling first harms here, in simulation', kind: 'care' }
  return { title: 'No gain shows: the difference sits within chance', kind: 'note' }
}

/** A condition in a line. */
export const conditionLine = (
  c: Pick<FeelCondition, 'item' | 'setting' | 'strategy'>,
  name: (id: string) => string,
) => facts([name(c.item), name(c.setting), c.strategy])

/** What an answer was learnt from, and where it was tried. */
export function answerLine(a: FeelAnswer, name: (id: string) => string): string {
  const from =
    a.from === 'guided'
      ? `Learnt from ${a.guided_name || 'a table of guided trials'}`
      : `Learnt from ${a.trials.toLocaleString('en')} simulated trials`
  if (!a.tried) return from + '; not tried in simulation'
  const where = conditionLine(
    { item: a.item ?? '', setting: a.setting ?? '', strategy: a.strategy ?? '' },
    name,
  )
  return `${from}; tried on ${where}\u00a0· approach up to ${number(a.tilt_max_deg)}° from straight down\u00a0· closing ${number(a.closing, 2)}\u00a0· seed ${a.seed}`
}
