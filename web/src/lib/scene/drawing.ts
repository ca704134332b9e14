/** The same picture as flat shapes, seen from a fixed place: for thumbnails, for print, and where there is no WebGL. */
import { DEG, type Vec3 } from '../plots/geometry'
import { guideArcs } from './guides'
import { crescentLine, type SceneModel } from './model'

export interface Shape {
  kind: 'support' | 'item' | 'item-edge' | 'palm' | 'finger' | 'arrow' | 'arc' | 'guide' | 'wall'
  /** SVG path. */
  d: string
  /** Stroke width where the shape is a line. */
  width?: number
}

export interface Drawing {
  shapes: Shape[]
  /** x, y, width, height. */
  viewBox: [number, number, number, number]
}

/** Projects orthographically from a turn around the vertical and a height above the support. */
export function draw(model: SceneModel, turnDeg = -120, heightDeg = 22): Drawing {
  const [t, h] = [turnDeg * DEG, heightDeg * DEG]
  // Right and up vectors of the picture plane; the eye looks towards the origin.
  const right: Vec3 = [-Math.sin(t), Math.cos(t), 0]
  const up: Vec3 = [-Math.sin(h) * Math.cos(t), -Math.sin(h) * Math.sin(t), Math.cos(h)]
  const toEye: Vec3 = [Math.cos(h) * Math.cos(t), Math.cos(h) * Math.sin(t), Math.sin(h)]
  const flat = (p: Vec3): [number, number] => [dot(p, right), -dot(p, up)]
  const seen: [number, number][] = []
  const line = (points: Vec3[], closed = false, framed = true) => {
    const flats = points.map(flat)
    // The support may run out of the frame; what stands on it may not.
    if (framed) seen.push(...flats)
    return 'M' + flats.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join('L') + (closed ? 'Z' : '')
  }

  const shapes: Shape[] = []
  const { support } = model
  const [x0, x1, y1] = [support.minX, support.maxX, support.halfY]
  const face = (...corners: Vec3[]) => line(corners, true, false)
  shapes.push({ kind: 'support', d: face([x0, -y1, 0], [x1, -y1, 0], [x1, y1, 0], [x0, y1, 0]) })
  if (support.kind === 'conveyor') {
    for (let y = -y1 + 20; y < y1; y += 28) {
      const seam: Vec3[] = [
        [x0, y, 0],
        [x1, y, 0],
      ]
      shapes.push({ kind: 'guide', d: line(seam, false, false), width: 0.7 })
    }
  }
  if (support.kind === 'tray') {
    for (const x of model.edge ? [x0] : [x0, x1]) {
      shapes.push({ kind: 'wall', d: face([x, -y1, 0], [x, y1, 0], [x, y1, 16], [x, -y1, 16]) })
    }
    shapes.push({ kind: 'wall', d: face([x0, y1, 0], [x1, y1, 0], [x1, y1, 16], [x0, y1, 16]) })
  }
  if (model.wall) {
    const { x, height } = model.wall
    shapes.push({ kind: 'wall', d: face([x, -y1, 0], [x, y1, 0], [x, y1, height], [x, -y1, height]) })
  }

  const arcs = guideArcs(model)
  shapes.push({ kind: 'guide', d: line(arcs.axisX), width: 1.4 })
  if (arcs.azimuth.length) shapes.push({ kind: 'arc', d: line(arcs.azimuth), width: 1.8 })
  if (arcs.lean.length) shapes.push({ kind: 'guide', d: line(arcs.lean), width: 1.4 })
  // Edges of all outlines first, then their fills: what stays visible is the edge of the whole.
  const outlines = itemOutlines(model).map((outline) => line(outline, true))
  shapes.push(
    { kind: 'item-edge', d: outlines.join('') },
    ...outlines.map((d): Shape => ({ kind: 'item', d })),
  )
  shapes.push({ kind: 'guide', d: line(arcs.vertical), width: 1.4 })
  if (arcs.tilt.length) shapes.push({ kind: 'arc', d: line(arcs.tilt), width: 1.8 })

  // Far fingers first, then the arrow and the palm, then near fingers.
  const order = model.fingers
    .map((f) => ({ f, near: dot(f.points[0]!, toEye) - dot(model.palm, toEye) }))
    .sort((a, b) => a.near - b.near)
  const finger = (f: (typeof order)[number]['f']): Shape => ({
    kind: 'finger',
    d: line(f.points),
    width: (f.root + f.tip) / 2,
  })
  for (const { f, near } of order) if (near < 0) shapes.push(finger(f))
  shapes.push(...arrow(model, flat, line))
  shapes.push({ kind: 'palm', d: palmPath(model, line) })
  for (const { f, near } of order) if (near >= 0) shapes.push(finger(f))

  const margin = 18
  const xs = seen.map((p) => p[0])
  const ys = seen.map((p) => p[1])
  const [left, top] = [Math.min(...xs) - margin, Math.min(...ys) - margin]
  return { shapes, viewBox: [left, top, Math.max(...xs) + margin - left, Math.max(...ys) + margin - top] }
}

function palmPath(model: SceneModel, line: (p: Vec3[], closed?: boolean) => string): string {
  const across = model.opening
  const a = model.approach
  const other: Vec3 = [
    a[1] * across[2] - a[2] * across[1],
    a[2] * across[0] - a[0] * across[2],
    a[0] * across[1] - a[1] * across[0],
  ]
  const ring = (back: number) =>
    Array.from({ length: 40 }, (_, i): Vec3 => {
      const [c, s] = [
        Math.cos((i / 40) * 2 * Math.PI) * model.palmRadius,
        Math.sin((i / 40) * 2 * Math.PI) * model.palmRadius,
      ]
      return [0, 1, 2].map((k) => model.palm[k]! + across[k]! * c + other[k]! * s - a[k]! * back) as Vec3
    })
  return line(ring(0), true) + line(ring(model.palmThickness), true)
}

function arrow(
  model: SceneModel,
  flat: (p: Vec3) => [number, number],
  line: (p: Vec3[], closed?: boolean) => string,
): Shape[] {
  const [x1, y1] = flat(model.palm)
  const [x2, y2] = flat(model.aim)
  const n = Math.hypot(x2 - x1, y2 - y1)
  const shaft: Shape = { kind: 'arrow', d: line([model.palm, model.aim]), width: 3 }
  if (n < 20) return [shaft]
  const [ux, uy] = [(x2 - x1) / n, (y2 - y1) / n]
  const [bx, by] = [x2 - ux * 14, y2 - uy * 14]
  const head = `M${x2.toFixed(1)} ${y2.toFixed(1)}L${(bx - uy * 6).toFixed(1)} ${(by + ux * 6).toFixed(1)}M${x2.toFixed(1)} ${y2.toFixed(1)}L${(bx + uy * 6).toFixed(1)} ${(by - ux * 6).toFixed(1)}`
  return [shaft, { kind: 'arrow', d: head, width: 3 }]
}

/** Outlines whose union reads as the item. */
function itemOutlines(model: SceneModel): Vec3[][] {
  const { shape, size, centre } = model.item
  const at = (v: Vec3): Vec3 => [centre[0] + v[0], centre[1] + v[1], centre[2] + v[2]]
  const [a, b, c] = [size[0] / 2, size[1] / 2, size[2] / 2]
  const ring = (f: (cos: number, sin: number) => Vec3) =>
    Array.from({ length: 48 }, (_, i) =>
      at(f(Math.cos((i / 48) * 2 * Math.PI), Math.sin((i / 48) * 2 * Math.PI))),
    )
  const slices = Array.from({ length: 25 }, (_, i) => (i - 12) / 12)
  switch (shape) {
    case 'box': {
      const face = (z: number): Vec3[] =>
        [
          [-a, -b, z],
          [a, -b, z],
          [a, b, z],
          [-a, b, z],
        ].map((v) => at(v as Vec3))
      const [low, high] = [face(-c), face(c)]
      return [...[0, 1, 2, 3].map((i) => [low[i]!, low[(i + 1) % 4]!, high[(i + 1) % 4]!, high[i]!]), high]
    }
    case 'cylinder':
      if (size[2] >= size[0] && size[2] >= size[1]) {
        return slices.map((k) => ring((x, y) => [a * x, b * y, c * k]))
      }
      return size[0] >= size[1]
        ? slices.map((k) => ring((y, z) => [a * k, b * y, c * z]))
        : slices.map((k) => ring((x, z) => [a * x, b * k, c * z]))
    case 'crescent': {
      const { line, radius } = crescentLine(size, 49)
      const flatten = c / Math.max(...radius)
      return line.map((p, i) =>
        ring((x, z) => [p[0] + radius[i]! * x * 0.7, p[1] + radius[i]! * x * 0.7, radius[i]! * z * flatten]),
      )
    }
    default:
      return Array.from({ length: 33 }, (_, i) => Math.sin(((i - 16) / 33) * Math.PI)).map((k) => {
        const s = Math.sqrt(1 - k * k)
        return ring((x, y) => [a * s * x, b * s * y, c * k])
      })
  }
}

function dot(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
