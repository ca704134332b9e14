/**
 * Orientations as the server writes them, and the equal-area disc on which directions are drawn.
 *
 * A rotation is a unit quaternion (w, x, y, z) that turns the hand from its reference pose (palm straight down, fingers'
 * opening along x) into its pose, in setting coordinates (x, y on the support, z up):
 *
 *     R = Rz(azimuth) · Ry(−tilt) · Rz(roll)
 *     approach direction = R·(0, 0, −1) = (sin tilt·cos azimuth, sin tilt·sin azimuth, −cos tilt)
 *
 * Angles at this module's edge are degrees and say so in their names.
 */

export interface Rotation {
  w: number
  x: number
  y: number
  z: number
}

/** Tilt from straight down 0…180, azimuth and roll in (−180, 180]; all in degrees. */
export interface Approach {
  tiltDeg: number
  azimuthDeg: number
  rollDeg: number
}

export type Vec3 = [number, number, number]

/** A point of the disc, in −1…1: x to the right, y up, seen from above. */
export interface DiscPoint {
  x: number
  y: number
}

export const DEG = Math.PI / 180

export const identity: Rotation = { w: 1, x: 0, y: 0, z: 0 }

/** The orientation of a wire message, which carries the quaternion, the angles, or both. */
export interface WireOrientation {
  qw?: number | null
  qx?: number | null
  qy?: number | null
  qz?: number | null
  tilt_deg?: number | null
  azimuth_deg?: number | null
  roll_deg?: number | null
}

/** Reads a wire orientation, the quaternion first; the identity when it holds neither form. */
export function fromWire(o: WireOrientation | undefined | null): Rotation {
  if (!o) return identity
  if (o.qw != null && o.qx != null && o.qy != null && o.qz != null) {
    return canonical(normalized({ w: o.qw, x: o.qx, y: o.qy, z: o.qz }))
  }
  if (o.tilt_deg != null) {
    return fromApproach({ tiltDeg: o.tilt_deg, azimuthDeg: o.azimuth_deg ?? 0, rollDeg: o.roll_deg ?? 0 })
  }
  return identity
}

export function mul(r: Rotation, s: Rotation): Rotation {
  return {
    w: r.w * s.w - r.x * s.x - r.y * s.y - r.z * s.z,
    x: r.w * s.x + r.x * s.w + r.y * s.z - r.z * s.y,
    y: r.w * s.y - r.x * s.z + r.y * s.w + r.z * s.x,
    z: r.w * s.z + r.x * s.y - r.y * s.x + r.z * s.w,
  }
}

export function inverse(r: Rotation): Rotation {
  return { w: r.w, x: -r.x, y: -r.y, z: -r.z }
}

/** The vector v turned by r. */
export function apply(r: Rotation, v: Vec3): Vec3 {
  const [qx, qy, qz] = [r.x, r.y, r.z]
  const tx = 2 * (qy * v[2] - qz * v[1])
  const ty = 2 * (qz * v[0] - qx * v[2])
  const tz = 2 * (qx * v[1] - qy * v[0])
  return [
    v[0] + r.w * tx + qy * tz - qz * ty,
    v[1] + r.w * ty + qz * tx - qx * tz,
    v[2] + r.w * tz + qx * ty - qy * tx,
  ]
}

/** r scaled to length 1; the identity when its length is zero or not finite. */
export function normalized(r: Rotation): Rotation {
  const n = Math.hypot(r.w, r.x, r.y, r.z)
  if (!(n > 0) || !Number.isFinite(n)) return identity
  return { w: r.w / n, x: r.x / n, y: r.y / n, z: r.z / n }
}

/** Whichever of r and −r has its first non-zero component positive, so that equal rotations print alike. */
export function canonical(r: Rotation): Rotation {
  for (const c of [r.w, r.x, r.y, r.z]) {
    if (c > 0) return r
    if (c < 0) return { w: -r.w, x: -r.x, y: -r.y, z: -r.z }
  }
  return r
}

/** The angle of the single turn that takes r into s, 0…180 degrees. */
export function angleBetweenDeg(r: Rotation, s: Rotation): number {
  const d = mul(inverse(r), s)
  return (2 * Math.atan2(Math.hypot(d.x, d.y, d.z), Math.abs(d.w))) / DEG
}

function aboutY(rad: number): Rotation {
  return { w: Math.cos(rad / 2), x: 0, y: Math.sin(rad / 2), z: 0 }
}

function aboutZ(rad: number): Rotation {
  return { w: Math.cos(rad / 2), x: 0, y: 0, z: Math.sin(rad / 2) }
}

export function fromApproach(a: Approach): Rotation {
  return canonical(mul(mul(aboutZ(a.azimuthDeg * DEG), aboutY(-a.tiltDeg * DEG)), aboutZ(a.rollDeg * DEG)))
}

/** The orientation with this approach direction and heading = azimuth + roll. */
export function fromDirectionHeading(tiltDeg: number, azimuthDeg: number, headingDeg: number): Rotation {
  return fromApproach({ tiltDeg, azimuthDeg, rollDeg: headingDeg - azimuthDeg })
}

/**
 * Tilt, azimuth and roll of r. Within about 1e-8 rad of straight down the azimuth is 0 and the roll carries the whole
 * heading; within as much of straight up the azimuth is 0 and the roll is −(azimuth − roll).
 */
export function toApproach(r: Rotation): Approach {
  // w = cos(t/2)cos((a+r)/2), z = cos(t/2)sin((a+r)/2), y = −sin(t/2)cos((a−r)/2), x = sin(t/2)sin((a−r)/2).
  const c = Math.hypot(r.w, r.z)
  const s = Math.hypot(r.x, r.y)
  const tiltDeg = (2 * Math.atan2(s, c)) / DEG
  const pole = 1e-8
  const sum = 2 * Math.atan2(r.z, r.w)
  const diff = 2 * Math.atan2(r.x, -r.y)
  if (s < pole) return { tiltDeg, azimuthDeg: 0, rollDeg: wrapDeg(sum / DEG) }
  if (c < pole) return { tiltDeg, azimuthDeg: 0, rollDeg: wrapDeg(-diff / DEG) }
  return { tiltDeg, azimuthDeg: wrapDeg((sum + diff) / 2 / DEG), rollDeg: wrapDeg((sum - diff) / 2 / DEG) }
}

/** Azimuth + roll in (−180, 180]: the turn about the vertical that remains when the lean is undone by the smallest turn. */
export function headingDeg(r: Rotation): number {
  return wrapDeg((2 * Math.atan2(r.z, r.w)) / DEG)
}

/** The path of a stroke along a heading, centred on a point of a picture whose y points down. */
export function headingStroke(at: { x: number; y: number }, deg: number, half: number): string {
  const [dx, dy] = [half * Math.cos(deg * DEG), half * Math.sin(deg * DEG)]
  return `M${at.x - dx} ${at.y + dy}l${2 * dx} ${-2 * dy}`
}

/** The approach direction R·(0, 0, −1) in setting coordinates. */
export function direction(r: Rotation): Vec3 {
  return apply(r, [0, 0, -1])
}

/** The angle brought into (−180, 180] degrees. */
export function wrapDeg(a: number): number {
  let d = a % 360
  if (d > 180) d -= 360
  if (d <= -180) d += 360
  return d === 0 ? 0 : d
}

/** The angle brought into [0, period) degrees. */
export function modDeg(a: number, period = 360): number {
  const d = a % period
  return d < 0 ? d + period : d === 0 ? 0 : d
}

/** The smallest distance between two angles that repeat after period, in degrees. */
export function circularDistanceDeg(a: number, b: number, period = 360): number {
  const d = modDeg(a - b, period)
  return Math.min(d, period - d)
}

/** Where a direction lies on the equal-area disc whose rim is at tiltMax: r = sin(tilt/2) / sin(tiltMax/2). */
export function toDisc(tiltDeg: number, azimuthDeg: number, tiltMaxDeg: number): DiscPoint {
  const r = Math.sin((tiltDeg / 2) * DEG) / Math.sin((tiltMaxDeg / 2) * DEG)
  return { x: r * Math.cos(azimuthDeg * DEG), y: r * Math.sin(azimuthDeg * DEG) }
}

/** The direction at a point of the disc; null outside the rim. */
export function fromDisc(p: DiscPoint, tiltMaxDeg: number): { tiltDeg: number; azimuthDeg: number } | null {
  const r = Math.hypot(p.x, p.y)
  if (r > 1 + 1e-9) return null
  const s = Math.min(1, r * Math.sin((tiltMaxDeg / 2) * DEG))
  return { tiltDeg: (2 * Math.asin(s)) / DEG, azimuthDeg: r === 0 ? 0 : Math.atan2(p.y, p.x) / DEG }
}

/** Radius on the disc, 0…1, of a ring of equal tilt. */
export function ringRadius(tiltDeg: number, tiltMaxDeg: number): number {
  return Math.sin((tiltDeg / 2) * DEG) / Math.sin((tiltMaxDeg / 2) * DEG)
}

/** An angle as people read it: whole degrees, one decimal when it is not whole, no minus zero. */
export function degText(a: number): string {
  const rounded = Math.round(a * 10) / 10
  const text = Number.isInteger(rounded) ? String(rounded === 0 ? 0 : rounded) : rounded.toFixed(1)
  return `${text.replace('-', '−')}°`
}
