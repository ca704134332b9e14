/** The replay document (docs/formats.md): read, checked as far as drawing needs it, and asked for one moment. */

export const replayType = 'application/vnd.holdfast.replay+gzip'

export interface ReplayPart {
  kind: 'support' | 'edge' | 'block' | 'item' | 'palm' | 'link'
  index: number
  link: number
}

/** The document's fields, under the names that they have in the file. */
export interface Replay {
  format: string
  hand: string
  item: string
  setting: string
  strategy: string
  strategy_kind: string
  orientation_wxyz: number[]
  measured_wxyz: number[]
  closing: number
  seed: string
  number: number
  outcome: string
  reason: string
  offset_mm: number[]
  duration_s: number
  steps: number
  peak_force_N: number
  peak_pressure_kPa: number
  hold_grip_N: number
  /** What the contacts at the end of the hold can bear. */
  hold_bears?: {
    force_closure: boolean
    wrench_margin_low: number
    wrench_margin_high: number
    torque_length_mm: number
    /** Along +x, −x, +y, −y, +z, −z. */
    further_load_N: number[]
    squeeze_N: number
    friction_used: number
    shear_reserve_N: number
  }
  phases: string[]
  ended_by: string[]
  fingers: string[]
  joints: { finger: number; slides: boolean }[]
  cords: { motor: number; fingers: number[]; pushes: boolean }[]
  chambers: number
  palm_radius_mm: number
  links: { finger: number; joint: number; radius_mm: number }[]
  edge_at_mm: number | null
  blocks: { name: string; low_mm: number[]; high_mm: number[] }[]
  items: { vertices_mm: number[]; triangles: number[] }[]
  parts: ReplayPart[]
  frames_per_s: number
  time_s: number[]
  phase: number[]
  command: number[]
  grip_N: number[]
  largest_contact_N: number[]
  on_item_N: number[][]
  felt_N: number[][]
  palm_mm_wxyz: number[][]
  links_mm: number[][]
  items_mm_wxyz: number[][]
  joints_deg_or_mm: number[][]
  tension_N: number[][]
  drawn_mm: number[][]
  pressure_kPa: number[][]
  contacts: number[][]
  /** Not in files: nothing surrounds the hand, as when it is closed on its own. */
  bare?: boolean
}

export interface ReplayContact {
  from: ReplayPart
  to: ReplayPart
  point: [number, number, number]
  /** N, on the second part. */
  force: [number, number, number]
  sliding: boolean
}

const width = 12
const format = 'holdfast-replay/1'
/** Beyond this a file is not unpacked further. */
const mostText = 32 << 20

/** Unpacks and checks a document; throws an Error that says what is wrong. */
export async function readReplay(packed: Blob): Promise<Replay> {
  let text = ''
  try {
    const reader = packed.stream().pipeThrough(new DecompressionStream('gzip')).getReader()
    const decoder = new TextDecoder()
    for (let size = 0; ;) {
      const { done, value } = await reader.read()
      if (done) break
      size += value.byteLength
      if (size > mostText) throw new RangeError()
      text += decoder.decode(value, { stream: true })
    }
  } catch (cause) {
    throw new Error(
      cause instanceof RangeError
        ? 'The replay unpacks to more than 32 MB.'
        : 'This recording is no replay: it is not packed with gzip, or is damaged.',
    )
  }
  let document: unknown
  try {
    document = JSON.parse(text)
  } catch {
    throw new Error('The replay is no JSON document.')
  }
  return check(document)
}

/** Says whether everything that is drawn is there and of one length. */
export function check(document: unknown): Replay {
  const d = document as Replay
  if (d === null || typeof d !== 'object' || d.format !== format)
    throw new Error(`The document’s format is not ${format}.`)
  const n = Array.isArray(d.time_s) ? d.time_s.length : 0
  if (n === 0) throw new Error('The replay has no frames.')
  const rows: [keyof Replay, number][] = [
    ['palm_mm_wxyz', 7],
    ['links_mm', 6 * d.links.length],
    ['items_mm_wxyz', 7 * d.items.length],
    ['felt_N', 3],
    ['on_item_N', 3],
    ['tension_N', d.cords.length],
    ['drawn_mm', d.cords.length * d.fingers.length],
    ['pressure_kPa', d.chambers],
    ['joints_deg_or_mm', d.joints.length],
  ]
  for (const [name, size] of rows) {
    const column = d[name] as number[][]
    if (!Array.isArray(column) || column.length !== n || column.some((row) => row.length !== size))
      throw new Error(`In the replay, ${name} does not fit the frames.`)
  }
  for (const name of ['phase', 'command', 'grip_N', 'largest_contact_N', 'contacts'] as const)
    if (!Array.isArray(d[name]) || d[name].length !== n)
      throw new Error(`In the replay, ${name} does not fit the frames.`)
  if (
    d.contacts.some(
      (row) => row.length % width || row.some((v, i) => i % width < 2 && !(d.parts[v] !== undefined)),
    )
  )
    throw new Error('In the replay, a contact is with a part that is not there.')
  return d
}

/** The last moment, s. */
export const lastTime = (d: Replay) => d.time_s[d.time_s.length - 1]!

/** The frame at or before a time. */
export function frameAt(d: Replay, time: number): number {
  let low = 0
  let high = d.time_s.length - 1
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (d.time_s[middle]! <= time + 1e-6) low = middle
    else high = middle - 1
  }
  return low
}

/** The frame at or before a time and how far it is to the next, 0 … 1. */
export function momentAt(d: Replay, time: number): { frame: number; next: number; share: number } {
  const frame = frameAt(d, time)
  const next = Math.min(frame + 1, d.time_s.length - 1)
  const span = d.time_s[next]! - d.time_s[frame]!
  const share = span > 0 ? Math.max(0, Math.min(1, (time - d.time_s[frame]!) / span)) : 0
  return { frame, next, share }
}

/** The contacts of a frame. */
export function contactsAt(d: Replay, frame: number): ReplayContact[] {
  const row = d.contacts[frame]!
  const list: ReplayContact[] = []
  for (let i = 0; i + width <= row.length; i += width) {
    list.push({
      from: d.parts[row[i]!]!,
      to: d.parts[row[i + 1]!]!,
      point: [row[i + 2]!, row[i + 3]!, row[i + 4]!],
      force: [row[i + 5]!, row[i + 6]!, row[i + 7]!],
      sliding: row[i + 11] === 1,
    })
  }
  return list
}

export const size = (v: readonly number[]) => Math.hypot(...v)

/** What a part is called in sentences. */
export function partName(d: Replay, p: ReplayPart): string {
  switch (p.kind) {
    case 'support':
      return 'support'
    case 'edge':
      return 'edge of the support'
    case 'block':
      return d.blocks[p.index]?.name || 'block'
    case 'palm':
      return 'palm'
    case 'item':
      return p.index === 0 ? 'item' : `item ${p.index} beside it`
    case 'link':
      return `${fingerName(d, p.index)}, link ${p.link + 1}`
  }
}

export const fingerName = (d: Replay, finger: number) => d.fingers[finger] || `finger ${finger + 1}`

export interface PhaseFacts {
  name: string
  /** s; NaN: never reached. */
  begins: number
  lasts: number
  endedBy: string
  grip: number
  felt: number
  contact: number
  sliding: boolean
}

/** What happened in each phase, as far as the frames show it: the largest values. */
export function phaseFacts(d: Replay): PhaseFacts[] {
  return d.phases.map((name, i) => {
    const frames = d.phase.flatMap((p, k) => (p === i ? [k] : []))
    const first = frames[0]
    const after = d.phase.findIndex((p) => p > i)
    // A phase may be over before the next frame.
    const between = first === undefined && d.ended_by[i] !== undefined && after >= 0
    const begins = first !== undefined ? d.time_s[first]! : between ? d.time_s[after]! : NaN
    const ends = after >= 0 ? d.time_s[after]! : lastTime(d)
    const most = (of: (frame: number) => number) => (frames.length ? Math.max(...frames.map(of)) : NaN)
    return {
      name,
      begins,
      lasts: ends - begins,
      endedBy: d.ended_by[i] ?? (first === undefined ? 'not reached' : 'the trial ended'),
      grip: most((k) => d.grip_N[k]!),
      felt: most((k) => size(d.felt_N[k]!)),
      contact: most((k) => d.largest_contact_N[k]!),
      sliding: frames.some((k) =>
        contactsAt(d, k).some((c) => c.sliding && c.to.kind === 'item' && c.to.index === 0 && ofHand(c.from)),
      ),
    }
  })
}

export const ofHand = (p: ReplayPart) => p.kind === 'palm' || p.kind === 'link'

/** A round scale for arrows (mm a newton) at which the usual large force is about so long. */
export function arrowScale(films: Replay[], long = 70): number {
  const forces = films
    .flatMap((d) => d.time_s.flatMap((_, k) => contactsAt(d, k).map((c) => size(c.force))))
    .sort((a, b) => a - b)
  const usual = forces[Math.floor(forces.length * 0.97)] ?? 1
  const rough = long / Math.max(usual, 0.05)
  const power = 10 ** Math.floor(Math.log10(rough))
  return [5, 2, 1].map((m) => m * power).find((s) => s <= rough * 1.001) ?? power
}

/**
 * Where the axis of forces ends (N): above every grip and contact on the item, and above what the hand feels except in short
 * knocks, which would press everything else to the floor.
 */
export function forceAxis(films: Replay[]): number {
  const on = Math.max(0, ...films.flatMap((d) => [...d.grip_N, ...d.largest_contact_N]))
  const felt = films.flatMap((d) => d.felt_N.map(size)).sort((a, b) => a - b)
  const usual = felt[Math.floor(felt.length * 0.95)] ?? 0
  return Math.max(0.5, Math.min(felt.at(-1) ?? 0, Math.max(1.15 * on, 1.1 * usual)), 1.05 * on)
}

/** The state at a moment as a sentence. */
export function describeMoment(d: Replay, time: number): string {
  const k = frameAt(d, time)
  const contacts = contactsAt(d, k)
  const hand = contacts.filter((c) => ofHand(c.from) && c.to.kind === 'item' && c.to.index === 0)
  const phase = d.phases[d.phase[k]!] ?? 'over'
  const slide = hand.filter((c) => c.sliding).length
  return (
    `At ${d.time_s[k]!.toFixed(2)} s, phase ${phase}: closing command ${d.command[k]!.toFixed(2)}, grip ${d.grip_N[k]!.toFixed(1)} N at ` +
    `${hand.length} ${hand.length === 1 ? 'contact' : 'contacts'} of hand and item` +
    `${slide ? `, ${slide} of them sliding` : ''}; the hand feels ${size(d.felt_N[k]!).toFixed(1)} N; ` +
    `the item’s middle is ${d.items_mm_wxyz[k]![2]!.toFixed(0)} mm above the support.`
  )
}
