/** A slow closing as a film without a clock: the closing command takes the place of the time. */
import type { HandClosing } from '$lib/api'
import type { Replay } from '../replay/document'

/** Pictures show the hand pointing down: half a turn about x from the palm's frame. */
const down = (list: readonly number[]) => list.map((v, i) => (i % 3 === 0 ? v : -v || 0))

export function closingFilm(c: HandClosing): Replay {
  const steps = c.steps ?? []
  const cords = (c.cords ?? []).map((k) => ({ ...k, fingers: k.fingers ?? [] }))
  const links = c.links ?? []
  const parts: Replay['parts'] = [
    { kind: 'item', index: 0, link: 0 },
    { kind: 'palm', index: 0, link: 0 },
  ]
  const part = (finger: number, link: number) => {
    if (finger < 0) return 1
    let at = parts.findIndex((p) => p.kind === 'link' && p.index === finger && p.link === link)
    if (at < 0) at = parts.push({ kind: 'link', index: finger, link }) - 1
    return at
  }
  const outline = c.outline
  const half = [0, 1, 0, 0]
  const rows = <T>(of: (s: (typeof steps)[number]) => T) => steps.map(of)
  return {
    format: '',
    hand: c.hand.name,
    item: c.item,
    setting: '',
    strategy: '',
    strategy_kind: '',
    orientation_wxyz: [1, 0, 0, 0],
    measured_wxyz: [1, 0, 0, 0],
    closing: 1,
    seed: '',
    number: 0,
    outcome: '',
    reason: '',
    offset_mm: [0, 0, 0],
    duration_s: 0,
    steps: 0,
    peak_force_N: 0,
    peak_pressure_kPa: 0,
    hold_grip_N: 0,
    phases: ['close'],
    ended_by: [],
    fingers: c.fingers ?? [],
    joints: c.joints ?? [],
    cords,
    chambers: c.hand.chambers,
    palm_radius_mm: c.palm_radius_mm,
    links,
    edge_at_mm: null,
    blocks: [],
    items: outline ? [{ vertices_mm: outline.vertices_mm ?? [], triangles: outline.triangles ?? [] }] : [],
    parts,
    frames_per_s: 1,
    time_s: rows((s) => s.command),
    phase: rows(() => 0),
    command: rows((s) => s.command),
    grip_N: rows((s) => s.grip_N),
    largest_contact_N: rows((s) => Math.max(0, ...(s.contacts ?? []).map((k) => Math.hypot(...k.force_N)))),
    on_item_N: rows(() => [0, 0, 0]),
    felt_N: rows(() => [0, 0, 0]),
    palm_mm_wxyz: rows(() => [0, 0, 0, ...half]),
    links_mm: rows((s) => down(s.links_mm ?? [])),
    items_mm_wxyz: rows(() => (outline ? [0, 0, -c.distance_mm, ...half] : [])),
    joints_deg_or_mm: rows((s) => s.joints_deg_or_mm ?? []),
    tension_N: rows((s) => s.tension_N ?? []),
    drawn_mm: rows((s) => s.drawn_mm ?? []),
    pressure_kPa: rows((s) => s.pressure_kPa ?? []),
    contacts: rows((s) =>
      (s.contacts ?? []).flatMap((k) => [
        part(k.finger, k.link),
        0,
        ...down(k.point_mm),
        ...down(k.force_N),
        0,
        0,
        0,
        k.sliding ? 1 : 0,
      ]),
    ),
    bare: true,
  }
}

/** The step nearest to a command. */
export function stepAt(c: HandClosing, command: number): number {
  const n = (c.steps?.length ?? 1) - 1
  return Math.max(0, Math.min(n, Math.round(command * n)))
}

/** Between which steps the hand first touches the item; NaN: never. */
export function firstTouch(c: HandClosing): number {
  return c.steps?.find((s) => s.grip_N > 0)?.command ?? NaN
}
