/** Small geometry for the schematic pictures of hands, items and settings. */
import { fingerAngles } from '$lib/scene/model'

/** The value when it can be drawn, else a stand-in while the reader is still typing. */
export function finite(value: number | null | undefined, instead: number): number {
  return value !== null && value !== undefined && Number.isFinite(value) && value > 0 ? value : instead
}

/**
 * Where fingers stand as seen from the side, far ones first: x from −1 to 1 across the opening. With more than two
 * fingers the hand is turned so that none hides another: an odd even-spaced hand shows one finger in front.
 */
export function fingerSpots(fingers: number, rollFold: number): { x: number; near: boolean }[] {
  const n = Math.max(1, Math.min(8, Math.round(finite(fingers, 2))))
  const fold = finite(rollFold, 1)
  const turn = n <= 2 ? 0 : n % 2 === 1 && fold === n ? -Math.PI / 2 : (16 * Math.PI) / 180
  return fingerAngles(n, fold)
    .map((a) => ({ x: Math.cos(a + turn), depth: Math.sin(a + turn) }))
    .sort((a, b) => b.depth - a.depth)
    .map((s) => ({ x: s.x, near: s.depth <= 1e-9 }))
}

/** Outline of a crescent seen from above with the given extents, horns towards −y, centred on (0, 0). */
export function crescent(width: number, depth: number): string {
  const [w, d] = [width / 2, depth / 2]
  return `M${-w} ${d}C${-w} ${-d * 1.65} ${w} ${-d * 1.65} ${w} ${d}C${w * 0.66} ${-d * 0.25} ${-w * 0.66} ${-d * 0.25} ${-w} ${d}Z`
}
