import { describe, expect, it } from 'vitest'
import {
  angleBetweenDeg,
  apply,
  circularDistanceDeg,
  degText,
  direction,
  fromApproach,
  fromDirectionHeading,
  fromDisc,
  fromWire,
  headingDeg,
  headingStroke,
  identity,
  modDeg,
  ringRadius,
  toApproach,
  toDisc,
  wrapDeg,
} from './geometry'

// Computed with package orient: tilt, azimuth, roll → quaternion, angles read back, heading, direction.
const fromGo: [number, number, number, number[], number[], number, number[]][] = [
  [0, 0, 0, [1, 0, 0, 0], [0, 0, 0], 0, [0, 0, -1]],
  [
    30,
    90,
    0,
    [0.683012701892, 0.183012701892, -0.183012701892, 0.683012701892],
    [30, 90, 0],
    90,
    [0, 0.5, -0.866025404],
  ],
  [
    45,
    -120,
    75,
    [0.853553390593, -0.379409522551, 0.049950211252, -0.353553390593],
    [45, -120, 75],
    -45,
    [-0.353553391, -0.612372436, -0.707106781],
  ],
  [0, 20, 30, [0.906307787037, 0, 0, 0.422618261741], [0, 0, 50], 50, [0, 0, -1]],
  [90, 180, -90, [0.5, 0.5, 0.5, 0.5], [90, 180, -90], 90, [-1, 0, 0]],
  [
    120,
    33,
    -47,
    [0.496273075821, 0.556670399226, -0.663413948169, -0.060934671703],
    [120, 33, -47],
    -14,
    [0.726310017, 0.47167124, 0.5],
  ],
  [
    5,
    170,
    170,
    [0.983870434247, 0, 0.043619387365, -0.173482903079],
    [5, 170, 170],
    -20,
    [-0.085831651, 0.015134436, -0.996194698],
  ],
]

describe('orientation', () => {
  it.each(fromGo)(
    'agrees with the server at tilt %d°, azimuth %d°, roll %d°',
    (tilt, azimuth, roll, q, back, heading, dir) => {
      const r = fromApproach({ tiltDeg: tilt, azimuthDeg: azimuth, rollDeg: roll })
      expect([r.w, r.x, r.y, r.z].map((v, i) => Math.abs(v - q[i]!)).every((d) => d < 1e-11)).toBe(true)
      const a = toApproach(r)
      expect(a.tiltDeg).toBeCloseTo(back[0]!, 8)
      expect(wrapDeg(a.azimuthDeg - back[1]!)).toBeCloseTo(0, 8)
      expect(wrapDeg(a.rollDeg - back[2]!)).toBeCloseTo(0, 8)
      expect(headingDeg(r)).toBeCloseTo(heading, 8)
      direction(r).forEach((v, i) => expect(v).toBeCloseTo(dir[i]!, 8))
    },
  )

  it('keeps azimuth − roll straight up', () => {
    // Computed with package orient: 180°, 40°, 10° reads back as roll −30°.
    const a = toApproach(fromApproach({ tiltDeg: 180, azimuthDeg: 40, rollDeg: 10 }))
    expect(a.tiltDeg).toBeCloseTo(180, 6)
    expect(a.azimuthDeg - a.rollDeg).toBeCloseTo(30, 6)
  })

  it('has no seam at the centre: the heading alone fixes the pose straight down', () => {
    const from = [0, 77, -140].map((az) => fromDirectionHeading(1e-7, az, 35))
    for (const r of from) expect(angleBetweenDeg(r, from[0]!)).toBeLessThan(1e-5)
  })

  it('measures a turn between orientations, and a quaternion and its negative are one', () => {
    const r = fromApproach({ tiltDeg: 20, azimuthDeg: 10, rollDeg: 5 })
    const s = fromApproach({ tiltDeg: 20, azimuthDeg: 10, rollDeg: 35 })
    expect(angleBetweenDeg(r, s)).toBeCloseTo(30, 9)
    expect(angleBetweenDeg(r, { w: -r.w, x: -r.x, y: -r.y, z: -r.z })).toBeCloseTo(0, 6)
  })

  it('reads both wire forms and falls back to the reference pose', () => {
    const r = fromWire({ tilt_deg: 30, azimuth_deg: 90, roll_deg: 0 })
    expect(angleBetweenDeg(r, fromWire({ qw: r.w, qx: r.x, qy: r.y, qz: r.z }))).toBeCloseTo(0, 6)
    expect(fromWire({})).toEqual(identity)
    expect(fromWire(undefined)).toEqual(identity)
  })

  it('turns vectors right-handed', () => {
    const quarter = fromApproach({ tiltDeg: 0, azimuthDeg: 0, rollDeg: 90 })
    apply(quarter, [1, 0, 0]).forEach((v, i) => expect(v).toBeCloseTo([0, 1, 0][i]!, 12))
  })
})

describe('disc', () => {
  it('is equal-area: the ring at which half of the cap’s area lies inside has radius √½', () => {
    // Area of a spherical cap is proportional to 1 − cos tilt.
    const tiltMax = 60
    const half = Math.acos(1 - (1 - Math.cos(Math.PI / 3)) / 2) / (Math.PI / 180)
    expect(ringRadius(half, tiltMax)).toBeCloseTo(Math.SQRT1_2, 12)
  })

  it('goes there and back', () => {
    for (const tilt of [0.5, 20, 45, 60]) {
      for (const azimuth of [-170, -90, 0, 33, 180]) {
        const back = fromDisc(toDisc(tilt, azimuth, 60), 60)!
        expect(back.tiltDeg).toBeCloseTo(tilt, 9)
        expect(wrapDeg(back.azimuthDeg - azimuth)).toBeCloseTo(0, 9)
      }
    }
  })

  it('puts azimuth 0 to the right and azimuth 90° up, and nothing outside the rim', () => {
    expect(toDisc(60, 0, 60).x).toBeCloseTo(1, 12)
    expect(toDisc(60, 90, 60).y).toBeCloseTo(1, 12)
    expect(fromDisc({ x: 0.9, y: 0.9 }, 60)).toBeNull()
    expect(fromDisc({ x: 0, y: 0 }, 60)).toEqual({ tiltDeg: 0, azimuthDeg: 0 })
  })
})

describe('angles', () => {
  it('wrap', () => {
    expect(wrapDeg(-180)).toBe(180)
    expect(wrapDeg(540)).toBe(180)
    expect(wrapDeg(-190)).toBe(170)
    expect(modDeg(-10, 180)).toBe(170)
    expect(modDeg(180, 180)).toBe(0)
    expect(circularDistanceDeg(175, 5, 180)).toBe(10)
  })

  it('read well', () => {
    expect(degText(-0.01)).toBe('0°')
    expect(degText(-45)).toBe('−45°')
    expect(degText(22.54)).toBe('22.5°')
  })
})

describe('headingStroke', () => {
  it('runs through its middle along the azimuth, 90° up the screen', () => {
    const numbers = headingStroke({ x: 10, y: 20 }, 90, 5)
      .match(/-?[\d.]+(e-?\d+)?/g)!
      .map(Number)
    const [x, y, dx, dy] = numbers as [number, number, number, number]
    expect([x, y]).toEqual([10, 25])
    expect(dx).toBeCloseTo(0)
    expect(dy).toBeCloseTo(-10)
  })
})
