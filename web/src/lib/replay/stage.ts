/** A replay in three.js: everything is built once and moved for each moment. Lengths are mm, z up. */
import * as THREE from 'three'
import { toCreasedNormals } from 'three/addons/utils/BufferGeometryUtils.js'
import { palette } from '../scene/palette'
import { contactsAt, momentAt, ofHand, size, type Replay } from './document'

/** Arrows longer than this (mm) are cut off; the legend says so. */
export const longestArrow = 110
/** So many contacts are drawn at once at most. */
const mostArrows = 64

function matte(colour: number, more: THREE.MeshStandardMaterialParameters = {}): THREE.MeshStandardMaterial {
  return new THREE.MeshStandardMaterial({ color: colour, roughness: 0.86, metalness: 0, ...more })
}

const up = new THREE.Vector3(0, 1, 0)

/** What is seen of a replay: how far around the item the surroundings are drawn, and what the camera takes in. */
export interface Extent {
  centre: THREE.Vector3
  radius: number
  ground: number
}

/** The extent of a film: where item and hand are, from the first touch on. */
export function extentOf(films: Replay[]): Extent {
  const box = new THREE.Box3()
  const point = new THREE.Vector3()
  for (const d of films) {
    const first = Math.max(
      0,
      d.contacts.findIndex((_, k) => contactsAt(d, k).some((c) => ofHand(c.from) || ofHand(c.to))),
    )
    for (let k = first; k < d.time_s.length; k += 4) {
      const palm = d.palm_mm_wxyz[k]!
      box.expandByPoint(point.set(palm[0]!, palm[1]!, palm[2]! + 15))
      const links = d.links_mm[k]!
      for (let i = 0; i + 2 < links.length; i += 3)
        box.expandByPoint(point.set(links[i]!, links[i + 1]!, links[i + 2]!))
    }
    if (d.bare) continue
    const start = d.items_mm_wxyz[0]!
    box.expandByPoint(point.set(start[0]! - 30, start[1]! - 30, 0))
    box.expandByPoint(point.set(start[0]! + 30, start[1]! + 30, start[2]!))
  }
  const centre = box.getCenter(new THREE.Vector3())
  const room = films.every((d) => d.bare) ? 1.2 : 1
  const radius = Math.min(600, room * Math.max(80, box.getSize(new THREE.Vector3()).length() / 2))
  return { centre, radius, ground: Math.max(170, radius * 1.25) }
}

class Arrows {
  readonly group = new THREE.Group()
  private readonly shafts: THREE.Mesh[] = []
  private readonly heads: THREE.Mesh[] = []
  private readonly feet: THREE.Mesh[] = []
  private readonly geometries = [
    new THREE.CylinderGeometry(1.3, 1.3, 1, 10),
    new THREE.ConeGeometry(3.6, 9, 16),
    new THREE.SphereGeometry(2.6, 14, 10),
    new THREE.TorusGeometry(5.6, 1.25, 8, 26),
  ] as const
  private readonly byHand = new THREE.MeshBasicMaterial({
    color: palette.accent,
    depthTest: false,
    transparent: true,
  })
  private readonly bySurroundings = new THREE.MeshBasicMaterial({
    color: palette.soft,
    depthTest: false,
    transparent: true,
  })
  private used = 0

  begin(): void {
    this.used = 0
  }

  /** An arrow that ends at the point where the force acts; a ring around the point says that it slides there. */
  put(at: readonly number[], force: readonly number[], scale: number, sliding: boolean, hand: boolean): void {
    const newton = size(force)
    if (this.used >= mostArrows || newton < 1e-3) return
    const i = this.used++
    if (!this.shafts[i]) {
      const [shaft, head, dot] = this.geometries
      this.shafts[i] = new THREE.Mesh(shaft, this.byHand)
      this.heads[i] = new THREE.Mesh(head, this.byHand)
      this.feet[i] = new THREE.Mesh(dot, this.byHand)
      for (const m of [this.shafts[i]!, this.heads[i]!, this.feet[i]!]) {
        m.renderOrder = 10
        this.group.add(m)
      }
    }
    const direction = new THREE.Vector3(...(force as [number, number, number])).normalize()
    const point = new THREE.Vector3(...(at as [number, number, number]))
    const length = Math.max(4, Math.min(longestArrow, newton * scale))
    const turn = new THREE.Quaternion().setFromUnitVectors(up, direction)
    const [shaft, head, foot] = [this.shafts[i]!, this.heads[i]!, this.feet[i]!]
    for (const m of [shaft, head, foot]) {
      m.visible = true
      m.material = hand ? this.byHand : this.bySurroundings
      m.quaternion.copy(turn)
    }
    const short = Math.min(9, length * 0.6)
    head.scale.setScalar(short / 9)
    head.position.copy(point).addScaledVector(direction, -short / 2)
    shaft.scale.set(1, Math.max(0.1, length - short), 1)
    shaft.position.copy(point).addScaledVector(direction, -(short + length) / 2)
    foot.geometry = this.geometries[sliding ? 3 : 2]
    foot.position.copy(point)
    // The ring lies across the force.
    if (sliding)
      foot.quaternion
        .copy(turn)
        .multiply(new THREE.Quaternion().setFromAxisAngle(new THREE.Vector3(1, 0, 0), Math.PI / 2))
  }

  end(): void {
    for (let i = 0; i < this.shafts.length; i++)
      for (const m of [this.shafts[i]!, this.heads[i]!, this.feet[i]!]) m.visible = i < this.used
  }

  dispose(): void {
    for (const g of this.geometries) g.dispose()
    this.byHand.dispose()
    this.bySurroundings.dispose()
  }
}

/** The objects of one film. */
export class Stage {
  readonly group = new THREE.Group()
  private readonly links: THREE.Group[] = []
  private readonly palm = new THREE.Group()
  private readonly items: THREE.Group[] = []
  private readonly arrows = new Arrows()
  private readonly film: Replay

  constructor(film: Replay, extent: Extent) {
    this.film = film
    if (!film.bare) this.surround(extent)
    this.makeHand()
    for (const outline of film.items) {
      const group = itemOf(outline, this.items.length > 0)
      this.items.push(group)
      this.group.add(group)
    }
    this.group.add(this.arrows.group)
    this.show(0, 1)
  }

  /** Moves everything to a moment (s); arrows are so many mm a newton. */
  show(time: number, scale: number): void {
    const d = this.film
    const { frame, next, share } = momentAt(d, time)
    const [a, b] = [d.links_mm[frame]!, d.links_mm[next]!]
    const at = (i: number) => a[i]! + (b[i]! - a[i]!) * share
    const [from, to] = [new THREE.Vector3(), new THREE.Vector3()]
    this.links.forEach((link, i) => {
      from.set(at(6 * i), at(6 * i + 1), at(6 * i + 2))
      to.set(at(6 * i + 3), at(6 * i + 4), at(6 * i + 5))
      link.position.copy(from).add(to).multiplyScalar(0.5)
      const way = to.sub(from)
      if (way.lengthSq() > 1e-9) link.quaternion.setFromUnitVectors(up, way.normalize())
    })
    pose(this.palm, d.palm_mm_wxyz[frame]!, d.palm_mm_wxyz[next]!, 0, share)
    this.items.forEach((item, i) => pose(item, d.items_mm_wxyz[frame]!, d.items_mm_wxyz[next]!, 7 * i, share))
    this.arrows.begin()
    for (const c of contactsAt(d, frame)) {
      // A force of the item on something is drawn as that on the item.
      const force = c.to.kind === 'item' || c.from.kind !== 'item' ? c.force : c.force.map((v) => -v)
      this.arrows.put(c.point, force, scale, c.sliding, ofHand(c.from))
    }
    this.arrows.end()
  }

  dispose(): void {
    this.arrows.dispose()
    this.group.traverse((child) => {
      const mesh = child as THREE.Mesh
      mesh.geometry?.dispose()
      const material = mesh.material as THREE.Material | THREE.Material[] | undefined
      for (const m of Array.isArray(material) ? material : material ? [material] : []) m.dispose()
    })
  }

  private surround({ centre, ground }: Extent): void {
    const d = this.film
    const low = [centre.x - ground, centre.y - ground] as const
    const high = [centre.x + ground, centre.y + ground]
    if (d.edge_at_mm !== null) high[0] = Math.max(low[0] + 20, Math.min(high[0]!, d.edge_at_mm))
    const thickness = 14
    this.group.add(
      slab([low[0], low[1], -thickness], [high[0]!, high[1]!, 0], palette.support, 1),
      grid(low, [high[0]!, high[1]!]),
    )
    for (const b of d.blocks) {
      const from = [Math.max(b.low_mm[0]!, low[0]), Math.max(b.low_mm[1]!, low[1]), b.low_mm[2]!] as const
      const to = [
        Math.min(b.high_mm[0]!, centre.x + ground),
        Math.min(b.high_mm[1]!, high[1]!),
        b.high_mm[2]!,
      ] as const
      if (from.every((v, k) => v < to[k]!)) this.group.add(slab(from, to, palette.wall, 0.5))
    }
  }

  private makeHand(): void {
    const d = this.film
    const first = d.links_mm[0]!
    const last = new Map<number, number>()
    for (const l of d.links) last.set(l.finger, Math.max(last.get(l.finger) ?? 0, l.joint))
    d.links.forEach((l, i) => {
      const length = Math.hypot(
        first[6 * i + 3]! - first[6 * i]!,
        first[6 * i + 4]! - first[6 * i + 1]!,
        first[6 * i + 5]! - first[6 * i + 2]!,
      )
      const r = Math.max(0.5, l.radius_mm)
      const group = new THREE.Group()
      const body = new THREE.Mesh(
        new THREE.CapsuleGeometry(r, length, 6, 18),
        matte(l.joint === last.get(l.finger) ? palette.fingerAir : palette.fingerMotor),
      )
      body.castShadow = body.receiveShadow = true
      // A dark pin through the joint behind which the link lies.
      const pin = new THREE.Mesh(new THREE.SphereGeometry(r * 0.62, 14, 10), matte(palette.joint))
      pin.scale.set(1.75, 1, 1.75)
      pin.position.y = -length / 2
      group.add(body, pin)
      this.links.push(group)
      this.group.add(group)
    })
    const r = d.palm_radius_mm
    const t = Math.max(6, r * 0.34)
    const disc = new THREE.CylinderGeometry(r * 0.94, r, t, 48)
    disc.rotateX(-Math.PI / 2)
    disc.translate(0, 0, -t / 2)
    const palm = new THREE.Mesh(disc, matte(palette.palm))
    palm.castShadow = true
    const neck = new THREE.CylinderGeometry(r * 0.45, r * 0.5, t * 1.2, 32)
    neck.rotateX(Math.PI / 2)
    neck.translate(0, 0, -t * 1.6)
    const notch = new THREE.BoxGeometry(r * 0.34, r * 0.13, t * 1.04)
    notch.translate(r * 0.88, 0, -t / 2)
    this.palm.add(
      palm,
      new THREE.LineSegments(
        new THREE.EdgesGeometry(disc, 40),
        new THREE.LineBasicMaterial({ color: palette.soft }),
      ),
      new THREE.Mesh(neck, matte(palette.joint)),
      new THREE.Mesh(notch, matte(palette.accent)),
    )
    this.group.add(this.palm)
  }
}

/** Puts a node between two poses of seven numbers: x, y, z, w, x, y, z. */
function pose(node: THREE.Object3D, a: number[], b: number[], at: number, share: number): void {
  const between = (i: number) => a[at + i]! + (b[at + i]! - a[at + i]!) * share
  node.position.set(between(0), between(1), between(2))
  node.quaternion
    .set(a[at + 4]!, a[at + 5]!, a[at + 6]!, a[at + 3]!)
    .slerp(new THREE.Quaternion(b[at + 4]!, b[at + 5]!, b[at + 6]!, b[at + 3]!), share)
    .normalize()
}

function slab(low: readonly number[], high: readonly number[], colour: number, opacity: number): THREE.Group {
  const side = [0, 1, 2].map((k) => high[k]! - low[k]!) as [number, number, number]
  const geometry = new THREE.BoxGeometry(...side)
  const mesh = new THREE.Mesh(geometry, matte(colour, { transparent: opacity < 1, opacity }))
  mesh.receiveShadow = true
  const edges = new THREE.LineSegments(
    new THREE.EdgesGeometry(geometry),
    new THREE.LineBasicMaterial({ color: palette.supportEdge }),
  )
  const group = new THREE.Group()
  group.add(mesh, edges)
  group.position.set((low[0]! + high[0]!) / 2, (low[1]! + high[1]!) / 2, (low[2]! + high[2]!) / 2)
  return group
}

/** Lines every 50 mm on the support, so that sliding shows. */
function grid(low: readonly number[], high: readonly number[]): THREE.LineSegments {
  const points: number[] = []
  for (let x = Math.ceil(low[0]! / 50) * 50; x < high[0]!; x += 50)
    points.push(x, low[1]!, 0.15, x, high[1]!, 0.15)
  for (let y = Math.ceil(low[1]! / 50) * 50; y < high[1]!; y += 50)
    points.push(low[0]!, y, 0.15, high[0]!, y, 0.15)
  const geometry = new THREE.BufferGeometry()
  geometry.setAttribute('position', new THREE.Float32BufferAttribute(points, 3))
  return new THREE.LineSegments(
    geometry,
    new THREE.LineBasicMaterial({ color: palette.supportEdge, transparent: true, opacity: 0.45 }),
  )
}

/** An item from its outline, with lines along two of its own planes so that turning shows. */
function itemOf(outline: Replay['items'][number], beside: boolean): THREE.Group {
  const flat = new THREE.BufferGeometry()
  flat.setAttribute('position', new THREE.Float32BufferAttribute(outline.vertices_mm, 3))
  flat.setIndex(outline.triangles)
  const geometry = toCreasedNormals(flat, 0.7)
  const mesh = new THREE.Mesh(
    geometry,
    matte(palette.item, beside ? { transparent: true, opacity: 0.75 } : {}),
  )
  mesh.castShadow = mesh.receiveShadow = true
  const lines = new THREE.BufferGeometry()
  lines.setAttribute('position', new THREE.Float32BufferAttribute(cuts(outline), 3))
  const colour = new THREE.LineBasicMaterial({ color: palette.itemEdge })
  const group = new THREE.Group()
  group.add(mesh, new THREE.LineSegments(lines, colour))
  flat.dispose()
  return group
}

/** Where the outline's triangles cross the planes x = 0 and y = 0 of its own frame, as pairs of points, a little outside. */
export function cuts(outline: { vertices_mm: number[]; triangles: number[] }): number[] {
  const points: number[] = []
  const v = outline.vertices_mm
  for (const k of [0, 1]) {
    for (let t = 0; t + 2 < outline.triangles.length; t += 3) {
      const crossing: number[] = []
      for (let e = 0; e < 3; e++) {
        const [a, b] = [3 * outline.triangles[t + e]!, 3 * outline.triangles[t + ((e + 1) % 3)]!]
        const [p, q] = [v[a + k]!, v[b + k]!]
        if (p < 0 === q < 0) continue
        const u = p / (p - q)
        for (let c = 0; c < 3; c++) crossing.push((v[a + c]! + (v[b + c]! - v[a + c]!) * u) * 1.006)
      }
      if (crossing.length === 6) points.push(...crossing)
    }
  }
  return points
}
