/** What keys do on the disc and on the dial; plain functions, so that they are tested without a browser. */
import { modDeg, type DiscPoint } from './geometry'

/** The heading after a key on the dial; null when the key means nothing there. Steps are 5°, 1° with Shift, 15° by page keys. */
export function dialAfterKey(
  key: string,
  shift: boolean,
  headingDeg: number,
  periodDeg: number,
): number | null {
  const step = shift ? 1 : 5
  switch (key) {
    case 'ArrowRight':
    case 'ArrowUp':
      return modDeg(headingDeg + step, periodDeg)
    case 'ArrowLeft':
    case 'ArrowDown':
      return modDeg(headingDeg - step, periodDeg)
    case 'PageUp':
      return modDeg(headingDeg + 15, periodDeg)
    case 'PageDown':
      return modDeg(headingDeg - 15, periodDeg)
    case 'Home':
      return 0
    case 'End':
      return modDeg(periodDeg - step, periodDeg)
    default:
      return null
  }
}

/** The heading under a pointer at (dx, dy) from the dial's middle, dy down; counter-clockwise from the right, in whole degrees. */
export function dialAtPointer(dx: number, dy: number, periodDeg: number): number {
  return modDeg(Math.round((Math.atan2(-dy, dx) * 180) / Math.PI), periodDeg)
}

/** The cursor after a key on the disc; null when the key means nothing there. It stays on the disc. */
export function cursorAfterKey(key: string, shift: boolean, cursor: DiscPoint): DiscPoint | null {
  const step = shift ? 0.2 : 0.05
  const moved = { ...cursor }
  switch (key) {
    case 'ArrowRight':
      moved.x += step
      break
    case 'ArrowLeft':
      moved.x -= step
      break
    case 'ArrowUp':
      moved.y += step
      break
    case 'ArrowDown':
      moved.y -= step
      break
    case 'Home':
      return { x: 0, y: 0 }
    default:
      return null
  }
  const r = Math.hypot(moved.x, moved.y)
  return r > 1 ? { x: moved.x / r, y: moved.y / r } : { x: tidy(moved.x), y: tidy(moved.y) }
}

function tidy(v: number): number {
  return Math.round(v * 1e6) / 1e6
}
