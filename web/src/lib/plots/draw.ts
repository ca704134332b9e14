/** Draws marks onto a canvas: single trials as shapes, many as counts. Coordinates are CSS pixels; the context carries the screen's scale. */
import { fan, heaps, type MarkSet } from './marks'
import { outcome } from './outcomes'

export interface MarkStyle {
  ink: string
  paper: string
  accent: string
}

export interface Drawn {
  /** Marks in sight. */
  shown: number
  /** True when they were drawn as counts. */
  gathered: boolean
}

/** Above this many marks in sight they are gathered into counts. */
export const GATHER_ABOVE = 700
const MARK_RADIUS = 5
const HEAP_CELL = 32

/** Draws the shown marks on a disc of the given diameter whose corner is the context's origin. */
export function drawMarks(
  context: CanvasRenderingContext2D,
  set: MarkSet,
  shown: Int32Array,
  diameter: number,
  style: MarkStyle,
  sprites: Sprites,
): Drawn {
  if (shown.length > GATHER_ABOVE) {
    drawHeaps(context, set, shown, diameter, style)
    return { shown: shown.length, gathered: true }
  }
  const half = diameter / 2
  const taken = new Map<number, number>()
  for (const i of shown) {
    const px = half + set.x[i]! * half
    const py = half - set.y[i]! * half
    const spot = Math.round(px) * 8192 + Math.round(py)
    const k = taken.get(spot) ?? 0
    taken.set(spot, k + 1)
    const [dx, dy] = fan(k, MARK_RADIUS * 1.55)
    sprites.draw(context, set.outcomes[set.outcome[i]!] ?? 'failed', px + dx, py + dy)
  }
  return { shown: shown.length, gathered: false }
}

/** Ready-made pictures of the outcome shapes. */
export class Sprites {
  private readonly pictures = new Map<string, HTMLCanvasElement>()
  readonly style: MarkStyle
  private readonly scale: number

  constructor(style: MarkStyle, scale: number) {
    this.style = style
    this.scale = scale
  }

  draw(context: CanvasRenderingContext2D, id: string, x: number, y: number): void {
    const picture = this.picture(id)
    const size = picture.width / this.scale
    context.drawImage(picture, x - size / 2, y - size / 2, size, size)
  }

  private picture(id: string): HTMLCanvasElement {
    const known = this.pictures.get(id)
    if (known) return known
    const size = Math.ceil((MARK_RADIUS * 2 + 6) * this.scale)
    const canvas = document.createElement('canvas')
    canvas.width = canvas.height = size
    const context = canvas.getContext('2d')!
    context.translate(size / 2, size / 2)
    context.scale(MARK_RADIUS * this.scale, MARK_RADIUS * this.scale)
    context.lineJoin = 'round'
    context.lineCap = 'round'
    const spec = outcome(id)
    const path = new Path2D(spec.path)
    // A paper halo keeps the shape readable on every colour of the map.
    context.strokeStyle = this.style.paper
    context.lineWidth = 0.85
    context.stroke(path)
    if (spec.filled) {
      context.fillStyle = this.style.ink
      context.fill(path)
    } else {
      if (spec.path.endsWith('Z') || spec.path.includes('ZM')) {
        context.fillStyle = this.style.paper
        context.fill(path)
      }
      context.strokeStyle = this.style.ink
      context.lineWidth = 0.36
      context.stroke(path)
    }
    this.pictures.set(id, canvas)
    return canvas
  }
}

/** Many trials: a ring whose area grows with their number and whose ink sector is the share held. */
function drawHeaps(
  context: CanvasRenderingContext2D,
  set: MarkSet,
  shown: Int32Array,
  diameter: number,
  style: MarkStyle,
): void {
  const half = diameter / 2
  const list = heaps(set, shown, (HEAP_CELL * 2) / diameter)
  const most = list.reduce((m, h) => Math.max(m, h.total), 1)
  context.lineWidth = 1
  for (const h of list) {
    const r = Math.max(2.5, HEAP_CELL * 0.21 * Math.sqrt(h.total / most))
    const x = half + h.x * half
    const y = half - h.y * half
    context.beginPath()
    context.arc(x, y, r, 0, 2 * Math.PI)
    context.fillStyle = style.paper
    context.fill()
    const share = h.held / h.total
    if (share > 0) {
      context.beginPath()
      context.moveTo(x, y)
      context.arc(x, y, r, -Math.PI / 2, -Math.PI / 2 + share * 2 * Math.PI)
      context.closePath()
      context.fillStyle = style.ink
      context.fill()
    }
    context.beginPath()
    context.arc(x, y, r, 0, 2 * Math.PI)
    context.strokeStyle = style.ink
    context.stroke()
  }
}
