import * as THREE from 'three'
import { describe, expect, it, vi } from 'vitest'
import { fromApproach, identity } from '../plots/geometry'
import { buildObjects, disposeAll } from './build'
import { guideArcs, labelPlaces } from './guides'
import { buildScene, genericHand, genericItem } from './model'

const setting = {
  name: 'Tray corner',
  support: 'tray',
  wall: true,
  wall_gap_mm: 10,
  edge: false,
  edge_gap_mm: 0,
}

describe('objects', () => {
  it.each(['ellipsoid', 'cylinder', 'box', 'crescent'])(
    '%s: every number is finite and every GPU object is freed',
    (shape) => {
      for (const actuation of ['air', 'motor']) {
        for (const support of ['table', 'conveyor', 'tray']) {
          const model = buildScene({
            rotation: fromApproach({ tiltDeg: 35, azimuthDeg: -70, rollDeg: 15 }),
            closing: 0.6,
            hand: { ...genericHand, actuation, fingers: 3, roll_fold: 3 },
            item: { ...genericItem, shape },
            setting: { ...setting, support },
          })
          const group = buildObjects(model)
          const freed = { geometry: 0, material: 0 }
          const had = { geometry: new Set<THREE.BufferGeometry>(), material: new Set<THREE.Material>() }
          group.traverse((node) => {
            const mesh = node as THREE.Mesh
            if (!mesh.geometry) return
            had.geometry.add(mesh.geometry)
            had.material.add(mesh.material as THREE.Material)
            expect(mesh.geometry.getAttribute('position').array.every((v) => Number.isFinite(v))).toBe(true)
          })
          had.geometry.forEach((g) => g.addEventListener('dispose', () => freed.geometry++))
          had.material.forEach((m) => vi.spyOn(m, 'dispose').mockImplementation(() => void freed.material++))
          disposeAll(group)
          expect(freed.geometry).toBeGreaterThanOrEqual(had.geometry.size)
          expect(freed.material).toBeGreaterThanOrEqual(had.material.size)
        }
      }
    },
  )
})

describe('guides', () => {
  it('measure the tilt from the vertical to the hand’s line', () => {
    const model = buildScene({
      rotation: fromApproach({ tiltDeg: 40, azimuthDeg: 90, rollDeg: 0 }),
      closing: 0,
    })
    const { tilt } = guideArcs(model)
    const [first, last] = [tilt[0]!, tilt[tilt.length - 1]!]
    expect(first[0]).toBeCloseTo(model.aim[0], 9)
    expect(first[1]).toBeCloseTo(model.aim[1], 9)
    // The arc ends on the line from the item to the palm.
    const toPalm = model.palm.map((v, i) => v - model.aim[i]!)
    const toEnd = last.map((v, i) => v - model.aim[i]!)
    const cos =
      toPalm.reduce((s, v, i) => s + v * toEnd[i]!, 0) / (Math.hypot(...toPalm) * Math.hypot(...toEnd))
    expect(cos).toBeCloseTo(1, 9)
  })

  it('need no arcs straight down', () => {
    const model = buildScene({ rotation: identity, closing: 0 })
    expect(guideArcs(model).tilt).toEqual([])
    expect(labelPlaces(model).map((l) => l.text)).toEqual(['x', 'opening'])
  })
})
