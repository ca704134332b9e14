import { describe, expect, it } from 'vitest'
import { fromApproach, identity } from '../plots/geometry'
import { draw } from './drawing'
import { buildScene, genericHand, genericItem } from './model'

const setting = { name: 's', support: 'tray', wall: true, wall_gap_mm: 10, edge: false, edge_gap_mm: 0 }

describe('drawing', () => {
  it.each(['ellipsoid', 'cylinder', 'box', 'crescent'])('shows hand, arrow and a %s, all finite', (shape) => {
    const model = buildScene({
      rotation: fromApproach({ tiltDeg: 30, azimuthDeg: 200, rollDeg: 40 }),
      closing: 0.5,
      hand: { ...genericHand, fingers: 3, roll_fold: 3 },
      item: { ...genericItem, shape },
      setting,
    })
    const { shapes, viewBox } = draw(model)
    const kinds = shapes.map((s) => s.kind)
    for (const kind of ['support', 'wall', 'item', 'palm', 'arrow', 'arc'] as const)
      expect(kinds).toContain(kind)
    expect(kinds.filter((k) => k === 'finger')).toHaveLength(3)
    expect(shapes.every((s) => !/NaN|Infinity/.test(s.d))).toBe(true)
    expect(viewBox.every(Number.isFinite)).toBe(true)
  })

  it('frames the hand, not the support', () => {
    const small = draw(buildScene({ rotation: identity, closing: 0.2 }))
    const [x, y, width, height] = small.viewBox
    const palm = small.shapes.find((s) => s.kind === 'palm')!
    for (const [, px, py] of palm.d.matchAll(/(-?[\d.]+) (-?[\d.]+)/g)) {
      expect(Number(px)).toBeGreaterThan(x)
      expect(Number(px)).toBeLessThan(x + width)
      expect(Number(py)).toBeGreaterThan(y)
      expect(Number(py)).toBeLessThan(y + height)
    }
    // Seen from above, tilt towards azimuth 90° moves the hand down the picture: it comes from −y.
    const above = draw(
      buildScene({ rotation: fromApproach({ tiltDeg: 30, azimuthDeg: 90, rollDeg: 0 }), closing: 0 }),
      -90,
      90,
    )
    const arrow = above.shapes
      .find((s) => s.kind === 'arrow')!
      .d.match(/-?[\d.]+/g)!
      .map(Number)
    expect(arrow[1]!).toBeGreaterThan(arrow[3]!)
  })
})
