/**
 * What a picture of one attempt shows, as plain geometry in the setting frame: the item on its support, and the hand
 * standing off along its approach direction with its fingers bent by the closing command. Lengths are mm.
 *
 * The picture explains; it is no simulation. Finger bending is a circular arc whose turn grows with the closing command.
 */
import {
  apply,
  degText,
  direction,
  headingDeg,
  modDeg,
  toApproach,
  DEG,
  type Rotation,
  type Vec3,
} from '../plots/geometry'

export interface HandForm {
  name: string
  actuation: string
  fingers: number
  roll_fold: number
  finger_length_mm: number
  palm_diameter_mm: number
  opening_max_mm: number
  command_unit: string
  command_full: number
}

export interface ItemForm {
  name: string
  shape: string
  size_x_mm: number
  size_y_mm: number
  size_z_mm: number
}

export interface SettingForm {
  name: string
  support: string
  wall: boolean
  wall_gap_mm: number
  edge: boolean
  edge_gap_mm: number
}

export interface SceneInput {
  hand?: HandForm | null
  item?: ItemForm | null
  setting?: SettingForm | null
  rotation: Rotation
  /** Closing command, 0…1. */
  closing: number
  /** Where the item really is, minus where it is believed to be. */
  offsetMM?: [number, number]
  /** Where the hand stands: off along its approach (the usual picture), or at the item. */
  standOff?: boolean
}

export interface FingerLine {
  /** Points of the centre line from palm to tip. */
  points: Vec3[]
  /** Thickness at root and tip. */
  root: number
  tip: number
  /** The direction inward, towards the palm axis, at the root; the tendon runs on this side. */
  inward: Vec3
}

export interface SceneModel {
  rotation: Rotation
  /** Centre of the palm's face. */
  palm: Vec3
  palmRadius: number
  palmThickness: number
  fingers: FingerLine[]
  actuation: 'air' | 'motor'
  /** Out of the palm: the approach direction. */
  approach: Vec3
  /** Across the fingers' opening. */
  opening: Vec3
  item: { shape: string; size: Vec3; centre: Vec3 }
  /** Where the hand aims: the middle of the item as believed. */
  aim: Vec3
  support: { kind: string; minX: number; maxX: number; halfY: number; thickness: number }
  wall: { x: number; height: number } | null
  edge: { x: number } | null
  /** Half the picture's extent. */
  reach: number
}

const FINGER_POINTS = 17
/** Turn of a finger from root to tip at closing command 1. */
const FULL_BEND = 78 * DEG

export const genericHand: HandForm = {
  name: 'the hand',
  actuation: 'motor',
  fingers: 2,
  roll_fold: 2,
  finger_length_mm: 90,
  palm_diameter_mm: 70,
  opening_max_mm: 110,
  command_unit: 'mm',
  command_full: 1,
}

export const genericItem: ItemForm = {
  name: 'the item',
  shape: 'ellipsoid',
  size_x_mm: 80,
  size_y_mm: 60,
  size_z_mm: 45,
}

/** Builds the picture's geometry. */
export function buildScene(input: SceneInput): SceneModel {
  const hand = input.hand ?? genericHand
  const item = input.item ?? genericItem
  const size: Vec3 = [item.size_x_mm, item.size_y_mm, item.size_z_mm]
  const [ox, oy] = input.offsetMM ?? [0, 0]
  const aim: Vec3 = [0, 0, size[2] / 2]
  const approach = direction(input.rotation)
  const closing = Math.max(0, Math.min(1, input.closing))

  const length = hand.finger_length_mm
  const half = halfExtent(size, approach)
  const stand =
    input.standOff === false
      ? Math.max(half * 0.9, length * 0.62)
      : length + half + Math.max(18, length * 0.22)
  const palm = add(aim, scale(approach, -stand))
  const toSetting = (v: Vec3) => add(palm, apply(input.rotation, v))

  const rootRadius = (hand.palm_diameter_mm / 2) * 0.82
  const thick =
    Math.max(5, Math.min(hand.palm_diameter_mm * 0.2, length * 0.17)) * (hand.fingers > 4 ? 0.75 : 1)
  const fingers = fingerAngles(hand.fingers, hand.roll_fold).map((angle): FingerLine => {
    const profile = fingerProfile(rootRadius, length, hand.opening_max_mm / 2, closing)
    const out: Vec3 = [Math.cos(angle), Math.sin(angle), 0]
    return {
      points: profile.map(([r, depth]) => toSetting([out[0] * r, out[1] * r, -depth])),
      root: thick,
      tip: thick * 0.62,
      inward: apply(input.rotation, [-out[0], -out[1], 0]),
    }
  })

  const reach = Math.max(stand + hand.palm_diameter_mm * 0.4, size[0], size[1], 120)
  const margin = Math.max(90, Math.max(size[0], size[1]) * 0.9)
  const setting = input.setting
  const side = size[0] / 2
  const edge = setting?.edge ? { x: side + setting.edge_gap_mm } : null
  const wall = setting?.wall ? { x: side + setting.wall_gap_mm, height: Math.max(60, size[2] * 1.6) } : null
  return {
    rotation: input.rotation,
    palm,
    palmRadius: hand.palm_diameter_mm / 2,
    palmThickness: Math.max(10, hand.palm_diameter_mm * 0.24),
    fingers,
    actuation: hand.actuation === 'air' ? 'air' : 'motor',
    approach,
    opening: apply(input.rotation, [1, 0, 0]),
    item: { shape: item.shape, size, centre: [ox, oy, size[2] / 2] },
    aim,
    support: {
      kind: setting?.support ?? 'table',
      minX: -side - margin,
      maxX: edge ? edge.x : wall ? Math.max(wall.x + 4, side + margin * 0.4) : side + margin,
      halfY: size[1] / 2 + margin,
      thickness: 12,
    },
    wall,
    edge,
    reach,
  }
}

/** Where the fingers stand around the palm axis (rad from the opening direction): as the hand's roll symmetry asks. */
export function fingerAngles(fingers: number, rollFold: number): number[] {
  const n = Math.max(1, Math.round(fingers))
  const fold = Math.max(1, Math.round(rollFold))
  if (n === 1) return [Math.PI]
  if (fold === 1 && n > 2) {
    // One finger opposes the others.
    const others = n - 1
    const gap = Math.min(40 * DEG, (150 * DEG) / Math.max(1, others - 1))
    return [Math.PI, ...Array.from({ length: others }, (_, i) => (i - (others - 1) / 2) * gap)]
  }
  if (fold < n && n % fold === 0) {
    // Equal groups around the palm.
    const each = n / fold
    const gap = Math.min(38 * DEG, (0.7 * 2 * Math.PI) / fold / Math.max(1, each - 1))
    return Array.from(
      { length: n },
      (_, i) => ((i % fold) * 2 * Math.PI) / fold + (Math.floor(i / fold) - (each - 1) / 2) * gap,
    )
  }
  return Array.from({ length: n }, (_, i) => (i * 2 * Math.PI) / n)
}

/** Centre line of a finger as [distance from the palm axis, depth below the palm], root first. */
export function fingerProfile(
  rootRadius: number,
  length: number,
  tipRadius: number,
  closing: number,
): [number, number][] {
  const lean = Math.asin(Math.max(-0.95, Math.min(0.95, (tipRadius - rootRadius) / length)))
  const bend = FULL_BEND * closing
  const ds = length / (FINGER_POINTS - 1)
  const points: [number, number][] = [[rootRadius, 0]]
  let [r, depth] = [rootRadius, 0]
  for (let i = 1; i < FINGER_POINTS; i++) {
    // Turn at the middle of each piece: outward lean first, then the arc inward.
    const turn = lean - bend * ((i - 0.5) / (FINGER_POINTS - 1))
    // Fingers that meet at the palm axis run on along it.
    const inward = Math.max(1.5, r + Math.sin(turn) * ds) - r
    r += inward
    depth += Math.sign(Math.cos(turn)) * Math.sqrt(Math.max(0, ds * ds - inward * inward))
    points.push([r, depth])
  }
  return points
}

/** How far a lying box of this size reaches from its middle along a direction; ellipsoids use their own support function. */
export function halfExtent(size: Vec3, along: Vec3): number {
  return Math.hypot((size[0] / 2) * along[0], (size[1] / 2) * along[1], (size[2] / 2) * along[2])
}

/** The crescent's centre line in its own frame: an arc that opens towards −y, with the item's extents. */
export function crescentLine(size: Vec3, points = 25): { line: Vec3[]; radius: number[] } {
  const tube = Math.min(size[1] * 0.62, size[2]) / 2
  const half = size[0] / 2 - tube * 0.35
  const sag = Math.max(0, size[1] - 2 * tube)
  const line: Vec3[] = []
  const radius: number[] = []
  for (let i = 0; i < points; i++) {
    const t = (2 * i) / (points - 1) - 1
    line.push([
      half * Math.sin((t * Math.PI) / 2),
      size[1] / 2 - tube - sag * (1 - Math.cos((t * Math.PI) / 2)),
      0,
    ])
    radius.push(tube * Math.max(0.16, Math.sqrt(Math.max(0, 1 - 0.92 * t * t))))
  }
  return { line, radius }
}

/** The picture in words. */
export function describeScene(input: SceneInput): string {
  const a = toApproach(input.rotation)
  const heading = modDeg(Math.round(headingDeg(input.rotation) * 10) / 10)
  const parts: string[] = []
  if (a.tiltDeg < 0.05) parts.push(`Palm straight down, hand turned to heading ${degText(heading)}`)
  else if (a.tiltDeg > 179.95) parts.push('Palm straight up')
  else
    parts.push(
      `Palm tilted ${degText(a.tiltDeg)} towards azimuth ${degText(modDeg(round1(a.azimuthDeg)))}, roll ${degText(round1(a.rollDeg))}, heading ${degText(heading)}`,
    )
  if (input.hand) {
    parts.push(
      `${input.hand.name} with ${plural(input.hand.fingers, 'finger')}, ${closingText(input.closing, input.hand)}`,
    )
  }
  if (input.item) {
    const where = input.setting ? ` ${placeText(input.setting)}` : ''
    parts.push(`${input.item.name}${where}`)
  }
  const [x, y] = input.offsetMM ?? [0, 0]
  if (Math.abs(x) > 0.05 || Math.abs(y) > 0.05) parts.push(`placed off by ${offsetText(x, y)}`)
  return parts.join('; ') + '.'
}

/** The closing command in the hand's own unit, such as "closing 0.70 (56 kPa)". */
export function closingText(closing: number, hand: { command_unit: string; command_full: number }): string {
  const value = closing * hand.command_full
  const digits = hand.command_full >= 50 ? 0 : 1
  return `closing ${closing.toFixed(2)} (${value.toFixed(digits)} ${hand.command_unit})`
}

/** A placement offset in words, such as "+3.2 mm along x, −1.0 mm along y". */
export function offsetText(x: number, y: number): string {
  const one = (v: number) => `${v < 0 ? '−' : '+'}${Math.abs(v).toFixed(1)} mm`
  return `${one(x)} along x, ${one(y)} along y`
}

function placeText(s: SettingForm): string {
  const base =
    s.support === 'conveyor' ? 'on the conveyor' : s.support === 'tray' ? 'in the tray' : 'on the table'
  const beside = [
    s.wall ? `wall ${s.wall_gap_mm} mm beside it on +x` : '',
    s.edge ? `edge ${s.edge_gap_mm} mm beside it on +x` : '',
  ].filter(Boolean)
  return beside.length ? `${base}, ${beside.join(', ')}` : base
}

function plural(n: number, word: string): string {
  return `${n} ${word}${n === 1 ? '' : 's'}`
}

function round1(v: number): number {
  return Math.round(v * 10) / 10
}

export function add(a: Vec3, b: Vec3): Vec3 {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

export function scale(a: Vec3, s: number): Vec3 {
  return [a[0] * s, a[1] * s, a[2] * s]
}
