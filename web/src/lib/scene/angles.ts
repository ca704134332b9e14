/** From where a picture is looked at, and how drags and keys change that. */

export interface ViewAngles {
  /** Around the vertical, degrees. */
  turnDeg: number
  /** Above the support, degrees. */
  heightDeg: number
  /** Distance as a share of the usual one. */
  zoom: number
}

export const usualView: ViewAngles = { turnDeg: -120, heightDeg: 20, zoom: 1 }

/** The view after a key; null when the key means nothing here. */
export function viewAfterKey(key: string, v: ViewAngles): ViewAngles | null {
  switch (key) {
    case 'ArrowLeft':
      return { ...v, turnDeg: v.turnDeg - 10 }
    case 'ArrowRight':
      return { ...v, turnDeg: v.turnDeg + 10 }
    case 'ArrowUp':
      return { ...v, heightDeg: clampHeight(v.heightDeg + 8) }
    case 'ArrowDown':
      return { ...v, heightDeg: clampHeight(v.heightDeg - 8) }
    case '+':
    case '=':
      return { ...v, zoom: clampZoom(v.zoom / 1.12) }
    case '-':
      return { ...v, zoom: clampZoom(v.zoom * 1.12) }
    case 'Home':
    case '0':
      return usualView
    default:
      return null
  }
}

/** The view after dragging by so many pixels. */
export function viewAfterDrag(v: ViewAngles, dx: number, dy: number): ViewAngles {
  return { ...v, turnDeg: v.turnDeg - dx * 0.45, heightDeg: clampHeight(v.heightDeg + dy * 0.35) }
}

function clampHeight(deg: number): number {
  return Math.max(-5, Math.min(88, deg))
}

function clampZoom(zoom: number): number {
  return Math.max(0.45, Math.min(2.2, zoom))
}
