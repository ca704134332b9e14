/** Guide lines and labels of a picture: the vertical, the arcs of tilt and azimuth, the axis. Plain geometry, mm. */
import { apply, type Vec3 } from '../plots/geometry'
import type { SceneModel } from './model'

export interface GuideArcs {
  vertical: Vec3[]
  axisX: Vec3[]
  /** From the vertical to the hand's approach line, above the item. */
  tilt: Vec3[]
  /** On the support, from +x to the direction in which the palm leans. */
  azimuth: Vec3[]
  /** The lean's direction on the support. */
  lean: Vec3[]
}

/** The guide lines of a picture, for the 3-D view and the drawing alike. */
export function guideArcs(model: SceneModel): GuideArcs {
  const { aim, approach, item, reach } = model
  const spread = Math.max(item.size[0], item.size[1]) / 2
  const around = spread + 26
  const up = Math.hypot(model.palm[0] - aim[0], model.palm[1] - aim[1], model.palm[2] - aim[2]) * 0.8
  const tiltRad = Math.acos(Math.max(-1, Math.min(1, -approach[2])))
  const azimuthRad = Math.atan2(approach[1], approach[0])
  const ground = 0.8
  const vertical: Vec3[] = [
    [aim[0], aim[1], aim[2]],
    [aim[0], aim[1], aim[2] + Math.min(reach, up * 1.15)],
  ]
  const axisX: Vec3[] = [
    [spread + 4, 0, ground],
    [around + 30, 0, ground],
  ]
  if (tiltRad < 0.01) return { vertical, axisX, tilt: [], azimuth: [], lean: [] }
  // The hand stands on the far side: its line leans away from the azimuth.
  const [ax, ay] = [Math.cos(azimuthRad), Math.sin(azimuthRad)]
  const steps = 24
  const tilt = Array.from({ length: steps + 1 }, (_, i): Vec3 => {
    const t = (tiltRad * i) / steps
    return [aim[0] - ax * Math.sin(t) * up, aim[1] - ay * Math.sin(t) * up, aim[2] + Math.cos(t) * up]
  })
  const azimuth = Array.from({ length: steps + 1 }, (_, i): Vec3 => {
    const a = (azimuthRad * i) / steps
    return [Math.cos(a) * around, Math.sin(a) * around, ground]
  })
  const lean: Vec3[] = [
    [ax * (spread + 4), ay * (spread + 4), ground],
    [ax * (around + 30), ay * (around + 30), ground],
  ]
  return { vertical, axisX, tilt, azimuth: Math.abs(azimuthRad) < 0.01 ? [] : azimuth, lean }
}

/** Places of the labels in the picture, in setting coordinates. */
export function labelPlaces(model: SceneModel): { text: string; at: Vec3 }[] {
  const arcs = guideArcs(model)
  const labels: { text: string; at: Vec3 }[] = [{ text: 'x', at: extend(arcs.axisX, 10) }]
  if (arcs.tilt.length) labels.push({ text: 'tilt', at: arcs.tilt[Math.floor(arcs.tilt.length / 2)]! })
  if (arcs.azimuth.length)
    labels.push({ text: 'azimuth', at: lift(arcs.azimuth[Math.floor(arcs.azimuth.length / 2)]!, 1.18) })
  labels.push({ text: 'opening', at: notchPlace(model) })
  return labels
}

function notchPlace(model: SceneModel): Vec3 {
  const v = apply(model.rotation, [model.palmRadius * 1.55, 0, model.palmThickness * 0.6])
  return [model.palm[0] + v[0], model.palm[1] + v[1], model.palm[2] + v[2]]
}

function extend(line: Vec3[], by: number): Vec3 {
  const [a, b] = [line[0]!, line[1]!]
  const n = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]) || 1
  return [b[0] + ((b[0] - a[0]) / n) * by, b[1] + ((b[1] - a[1]) / n) * by, b[2] + ((b[2] - a[2]) / n) * by]
}

function lift(p: Vec3, by: number): Vec3 {
  return [p[0] * by, p[1] * by, p[2]]
}

/** A ball around what must stay in sight however the picture is turned: the hand to its wrist, the item, the guides. */
export function frameOf(model: SceneModel): { centre: Vec3; radius: number } {
  const arcs = guideArcs(model)
  const [a, b] = [model.item.size[0] / 2, model.item.size[1] / 2]
  const wrist = model.palm.map((v, i) => v - model.approach[i]! * model.palmThickness * 2.2) as Vec3
  const points: Vec3[] = [
    wrist,
    ...model.fingers.flatMap((f) => [f.points[0]!, f.points[f.points.length >> 1]!]),
    [-a, -b, 0],
    [a, b, 0],
    arcs.axisX[1]!,
    ...(arcs.lean.length ? [arcs.lean[1]!] : []),
  ]
  const low: Vec3 = [0, 1, 2].map((k) => Math.min(...points.map((p) => p[k]!))) as Vec3
  const high: Vec3 = [0, 1, 2].map((k) => Math.max(...points.map((p) => p[k]!))) as Vec3
  const centre = low.map((v, k) => (v + high[k]!) / 2) as Vec3
  const radius = Math.max(
    ...points.map((p) => Math.hypot(p[0] - centre[0], p[1] - centre[1], p[2] - centre[2])),
  )
  return { centre, radius }
}
