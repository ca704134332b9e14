/** Turns a scene's plain geometry into three.js objects. Lengths are mm, z up. */
import * as THREE from 'three'
import type { Vec3 } from '../plots/geometry'
import { guideArcs } from './guides'
import { crescentLine, halfExtent, type FingerLine, type SceneModel } from './model'
import { palette } from './palette'

/** Everything of one picture; the caller disposes it with [disposeAll]. */
export function buildObjects(model: SceneModel): THREE.Group {
  const group = new THREE.Group()
  group.add(support(model), item(model), hand(model), guides(model))
  return group
}

/** Frees the GPU objects below a node. */
export function disposeAll(node: THREE.Object3D): void {
  node.traverse((child) => {
    const mesh = child as THREE.Mesh
    mesh.geometry?.dispose()
    const material = mesh.material as THREE.Material | THREE.Material[] | undefined
    for (const m of Array.isArray(material) ? material : material ? [material] : []) m.dispose()
  })
}

function matte(
  colour: number,
  options: THREE.MeshStandardMaterialParameters = {},
): THREE.MeshStandardMaterial {
  return new THREE.MeshStandardMaterial({ color: colour, roughness: 0.86, metalness: 0, ...options })
}

function outline(geometry: THREE.BufferGeometry, colour: number, threshold = 30): THREE.LineSegments {
  return new THREE.LineSegments(
    new THREE.EdgesGeometry(geometry, threshold),
    new THREE.LineBasicMaterial({ color: colour }),
  )
}

function box(size: Vec3, centre: Vec3, colour: number, edge: number): THREE.Group {
  const group = new THREE.Group()
  const geometry = new THREE.BoxGeometry(...size)
  const mesh = new THREE.Mesh(geometry, matte(colour))
  mesh.receiveShadow = true
  mesh.castShadow = true
  group.add(mesh, outline(geometry, edge))
  group.position.set(...centre)
  return group
}

function support(model: SceneModel): THREE.Group {
  const { kind, minX, maxX, halfY, thickness } = model.support
  const group = new THREE.Group()
  const middle = (minX + maxX) / 2
  const length = maxX - minX
  const conveyor = kind === 'conveyor'
  const slab: Vec3 = [length, 2 * halfY, thickness]
  const surface = conveyor ? palette.belt : palette.support
  group.add(box(slab, [middle, 0, -thickness / 2], surface, palette.supportEdge))
  if (conveyor) {
    // Belt runs along y: rollers at its ends, seams across it.
    for (const y of [-halfY, halfY]) {
      const geometry = new THREE.CylinderGeometry(thickness / 2, thickness / 2, length, 28)
      const roller = new THREE.Mesh(geometry, matte(palette.belt))
      roller.rotation.z = Math.PI / 2
      roller.position.set(middle, y, -thickness / 2)
      group.add(roller)
    }
    const seams: THREE.Vector3[] = []
    for (let y = -halfY + 20; y < halfY; y += 28) {
      seams.push(new THREE.Vector3(minX, y, 0.4), new THREE.Vector3(maxX, y, 0.4))
    }
    group.add(lineSegments(seams, palette.supportEdge, 0.55))
  }
  if (kind === 'tray') {
    const height = 16
    const rim = 5
    for (const x of model.edge || model.wall ? [minX] : [minX, maxX]) {
      group.add(box([rim, 2 * halfY, height], [x, 0, height / 2], palette.wall, palette.supportEdge))
    }
    for (const y of [-halfY, halfY]) {
      group.add(box([length, rim, height], [middle, y, height / 2], palette.wall, palette.supportEdge))
    }
  }
  if (model.wall) {
    const h = model.wall.height
    group.add(
      box(
        [8, 2 * halfY, h + thickness],
        [model.wall.x + 4, 0, (h - thickness) / 2],
        palette.wall,
        palette.supportEdge,
      ),
    )
  }
  return group
}

function item(model: SceneModel): THREE.Object3D {
  const { shape, size, centre } = model.item
  const material = matte(palette.item)
  const group = new THREE.Group()
  let geometry: THREE.BufferGeometry
  switch (shape) {
    case 'box':
      geometry = new THREE.BoxGeometry(...size)
      group.add(outline(geometry, palette.itemEdge))
      break
    case 'cylinder': {
      // Upright when z is the longest extent, else lying along its longest one.
      const upright = size[2] >= size[0] && size[2] >= size[1]
      geometry = new THREE.CylinderGeometry(0.5, 0.5, 1, 48)
      if (upright) geometry.rotateX(Math.PI / 2)
      else if (size[0] >= size[1]) geometry.rotateZ(Math.PI / 2)
      geometry.scale(...size)
      group.add(outline(geometry, palette.itemEdge, 40))
      break
    }
    case 'crescent':
      geometry = crescentGeometry(size)
      break
    default:
      geometry = new THREE.SphereGeometry(0.5, 48, 32)
      geometry.scale(...size)
  }
  const mesh = new THREE.Mesh(geometry, material)
  mesh.castShadow = true
  mesh.receiveShadow = true
  group.add(mesh)
  group.position.set(...centre)
  return group
}

function crescentGeometry(size: Vec3): THREE.BufferGeometry {
  const { line, radius } = crescentLine(size, 41)
  return tube(line, radius, 20, size[2] / (2 * Math.max(...radius)))
}

/** A round tube of varying radius along a line; `flatten` scales its height. */
function tube(line: Vec3[], radius: number[], sides: number, flatten = 1): THREE.BufferGeometry {
  const curve = new THREE.CatmullRomCurve3(line.map((p) => new THREE.Vector3(...p)))
  const frames = curve.computeFrenetFrames(line.length - 1, false)
  const positions: number[] = []
  const index: number[] = []
  line.forEach((p, i) => {
    const [n, b] = [frames.normals[i]!, frames.binormals[i]!]
    for (let j = 0; j <= sides; j++) {
      const a = (j / sides) * 2 * Math.PI
      const [c, s] = [Math.cos(a) * radius[i]!, Math.sin(a) * radius[i]!]
      positions.push(p[0] + n.x * c + b.x * s, p[1] + n.y * c + b.y * s, (p[2] + n.z * c + b.z * s) * flatten)
    }
  })
  const ring = sides + 1
  for (let i = 0; i < line.length - 1; i++) {
    for (let j = 0; j < sides; j++) {
      const k = i * ring + j
      index.push(k, k + 1, k + ring, k + 1, k + ring + 1, k + ring)
    }
  }
  // Round ends.
  for (const [at, flip] of [
    [0, true],
    [line.length - 1, false],
  ] as const) {
    const p = line[at]!
    const centre = positions.length / 3
    const q = line[at === 0 ? 1 : at - 1]!
    const out = new THREE.Vector3(p[0] - q[0], p[1] - q[1], p[2] - q[2])
      .normalize()
      .multiplyScalar(radius[at]! * 0.6)
    positions.push(p[0] + out.x, p[1] + out.y, (p[2] + out.z) * flatten)
    for (let j = 0; j < sides; j++) {
      const k = at * ring + j
      if (flip) index.push(centre, k + 1, k)
      else index.push(centre, k, k + 1)
    }
  }
  const geometry = new THREE.BufferGeometry()
  geometry.setAttribute('position', new THREE.Float32BufferAttribute(positions, 3))
  geometry.setIndex(index)
  geometry.computeVertexNormals()
  return geometry
}

function hand(model: SceneModel): THREE.Group {
  const group = new THREE.Group()
  const { x, y, z, w } = model.rotation
  const body = new THREE.Group()
  body.position.set(...model.palm)
  body.quaternion.set(x, y, z, w)

  // Palm disc: its face looks along −z of the reference pose, its body stands behind.
  const t = model.palmThickness
  const disc = new THREE.CylinderGeometry(model.palmRadius * 0.94, model.palmRadius, t, 56)
  disc.rotateX(Math.PI / 2)
  disc.translate(0, 0, t / 2)
  const palm = new THREE.Mesh(disc, matte(palette.palm))
  palm.castShadow = true
  body.add(palm, outline(disc, palette.soft, 40))
  const neck = new THREE.CylinderGeometry(model.palmRadius * 0.42, model.palmRadius * 0.5, t * 1.1, 36)
  neck.rotateX(Math.PI / 2)
  neck.translate(0, 0, t * 1.55)
  const wrist = new THREE.Mesh(neck, matte(palette.joint))
  wrist.castShadow = true
  body.add(wrist)
  // A notch on the rim tells where the opening's x lies.
  const notch = new THREE.BoxGeometry(model.palmRadius * 0.34, model.palmRadius * 0.13, t * 1.06)
  notch.translate(model.palmRadius * 0.88, 0, t / 2)
  body.add(new THREE.Mesh(notch, matte(palette.accent)))
  if (model.actuation === 'air') body.add(airLine(model))
  group.add(body)

  for (const finger of model.fingers)
    group.add(model.actuation === 'air' ? airFinger(finger) : tendonFinger(finger))
  return group
}

/** A hose that leaves the palm's back and bends aside. */
function airLine(model: SceneModel): THREE.Mesh {
  const t = model.palmThickness
  const r = model.palmRadius
  const curve = new THREE.CatmullRomCurve3([
    new THREE.Vector3(-r * 0.62, 0, t * 0.9),
    new THREE.Vector3(-r * 0.68, 0, t * 1.6),
    new THREE.Vector3(-r * 1.0, 0, t * 2.3),
    new THREE.Vector3(-r * 1.5, 0, t * 2.5),
  ])
  return new THREE.Mesh(new THREE.TubeGeometry(curve, 24, Math.max(2.5, r * 0.085), 12), matte(palette.joint))
}

/** A pressure finger: a bellows whose ribs ripple along the arc. */
function airFinger(finger: FingerLine): THREE.Mesh {
  const line = refine(finger.points, 5)
  const ribs = finger.points.length - 1
  const radius = line.map((_, i) => {
    const s = i / (line.length - 1)
    const base = (finger.root + (finger.tip - finger.root) * s) / 2
    return base * (1 + 0.15 * Math.cos(s * ribs * Math.PI) * (s < 0.96 ? 1 : 0)) * (s > 0.985 ? 0.8 : 1)
  })
  const mesh = new THREE.Mesh(tube(line, radius, 18), matte(palette.fingerAir))
  mesh.castShadow = true
  return mesh
}

/** A tendon finger: slim links, dark joints, the tendon along the inner side. */
function tendonFinger(finger: FingerLine): THREE.Group {
  const group = new THREE.Group()
  const line = refine(finger.points, 3)
  const radius = line.map(
    (_, i) => (finger.root + (finger.tip - finger.root) * (i / (line.length - 1))) / 2.5,
  )
  const body = new THREE.Mesh(tube(line, radius, 14), matte(palette.fingerMotor))
  body.castShadow = true
  group.add(body)
  const n = finger.points.length - 1
  const tendon: THREE.Vector3[] = []
  finger.points.forEach((p, i) => {
    const r = (finger.root + (finger.tip - finger.root) * (i / n)) / 2
    if (i % 4 === 0 && i > 0 && i < n) {
      const joint = new THREE.Mesh(new THREE.SphereGeometry(r * 0.92, 20, 14), matte(palette.joint))
      joint.position.set(...p)
      joint.castShadow = true
      group.add(joint)
    }
    const inner = innerSide(finger, i)
    tendon.push(new THREE.Vector3(p[0] + inner[0] * r, p[1] + inner[1] * r, p[2] + inner[2] * r))
  })
  const cord = new THREE.TubeGeometry(new THREE.CatmullRomCurve3(tendon), 40, 0.9, 6)
  group.add(new THREE.Mesh(cord, matte(palette.ink)))
  return group
}

/** Unit vector at a point of the finger that is square to it and points to the palm axis' side. */
function innerSide(finger: FingerLine, i: number): Vec3 {
  const a = finger.points[Math.max(0, i - 1)]!
  const b = finger.points[Math.min(finger.points.length - 1, i + 1)]!
  const along = new THREE.Vector3(b[0] - a[0], b[1] - a[1], b[2] - a[2]).normalize()
  const inward = new THREE.Vector3(...finger.inward)
  inward.addScaledVector(along, -inward.dot(along)).normalize()
  return [inward.x, inward.y, inward.z]
}

function refine(points: Vec3[], times: number): Vec3[] {
  const curve = new THREE.CatmullRomCurve3(points.map((p) => new THREE.Vector3(...p)))
  return curve.getPoints((points.length - 1) * times).map((p) => [p.x, p.y, p.z])
}

function lineSegments(points: THREE.Vector3[], colour: number, opacity = 1): THREE.LineSegments {
  return new THREE.LineSegments(
    new THREE.BufferGeometry().setFromPoints(points),
    new THREE.LineBasicMaterial({ color: colour, transparent: opacity < 1, opacity }),
  )
}

/** Approach arrow, the vertical, and the arcs of tilt and azimuth. */
function guides(model: SceneModel): THREE.Group {
  const group = new THREE.Group()
  const accent = new THREE.MeshBasicMaterial({ color: palette.accent })
  const from = new THREE.Vector3(...model.palm)
  const to = new THREE.Vector3(...model.aim)
  const whole = to.clone().sub(from)
  const length = whole.length()
  const unit = whole.clone().normalize()
  const head = Math.min(18, length * 0.16)
  const start = from.clone().addScaledVector(unit, length * 0.06)
  const end = to.clone().addScaledVector(unit, -halfExtent(model.item.size, model.approach) - 4)
  group.add(rod(start, end.clone().addScaledVector(unit, -head), 1.5, accent))
  const cone = new THREE.Mesh(new THREE.ConeGeometry(head * 0.34, head, 24), accent)
  cone.position.copy(end).addScaledVector(unit, -head / 2)
  cone.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), unit)
  group.add(cone)

  const arcs = guideArcs(model)
  group.add(dashed(arcs.vertical, palette.soft), dashed(arcs.axisX, palette.soft))
  if (arcs.tilt.length > 1) group.add(thickLine(arcs.tilt, 1.1, accent))
  if (arcs.azimuth.length > 1)
    group.add(thickLine(arcs.azimuth, 1.1, accent), dashed(arcs.lean, palette.accent))
  return group
}

function rod(a: THREE.Vector3, b: THREE.Vector3, radius: number, material: THREE.Material): THREE.Mesh {
  return new THREE.Mesh(new THREE.TubeGeometry(new THREE.LineCurve3(a, b), 1, radius, 10), material)
}

function thickLine(points: Vec3[], radius: number, material: THREE.Material): THREE.Mesh {
  const curve = new THREE.CatmullRomCurve3(points.map((p) => new THREE.Vector3(...p)))
  return new THREE.Mesh(new THREE.TubeGeometry(curve, points.length * 2, radius, 8), material)
}

function dashed(points: Vec3[], colour: number): THREE.Line {
  const line = new THREE.Line(
    new THREE.BufferGeometry().setFromPoints(points.map((p) => new THREE.Vector3(...p))),
    new THREE.LineDashedMaterial({ color: colour, dashSize: 5, gapSize: 4 }),
  )
  line.computeLineDistances()
  return line
}
