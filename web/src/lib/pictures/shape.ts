/** Small geometry for the schematic pictures of hands, items and settings. */

/** The value when it can be drawn, else a stand-in while the reader is still typing. */
export function finite(value: number | null | undefined, instead: number): number {
  return value !== null && value !== undefined && Number.isFinite(value) && value > 0 ? value : instead
}

/**
 * Where fingers stand as seen from the side, far ones first: x from −1 to 1 across the opening. Fingers stand evenly
 * around the palm's axis with the first one on the opening's axis.
 */
export function fingerSpots(fingers: number): { x: number; near: boolean }[] {
  const n = Math.max(1, Math.min(8, Math.round(finite(fingers, 2))))
  return Array.from({ length: n }, (_, k) => {
    const turn = (2 * Math.PI * k) / n
    return { x: Math.cos(turn), depth: Math.sin(turn) }
  })
    .sort((a, b) => b.depth - a.depth)
    .map((s) => ({ x: s.x, near: s.depth <= 1e-9 }))
}

/** Outline of a crescent seen from above with the given extents, horns towards −y, centred on (0, 0). */
export function crescent(width: number, depth: number): string {
  const [w, d] = [width / 2, depth / 2]
  return `M${-w} ${d}C${-w} ${-d * 1.65} ${w} ${-d * 1.65} ${w} ${d}C${w * 0.66} ${-d * 0.25} ${-w * 0.66} ${-d * 0.25} ${-w} ${d}Z`
}
