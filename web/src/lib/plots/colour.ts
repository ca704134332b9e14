/**
 * Success in one perceptually uniform scale that colour-blind eyes read alike: cividis
 * (J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for color vision deficiency to
 * enable accurate interpretation of scientific data", PLoS ONE 13 (2018) e0199239), as d3-scale-chromatic interpolates it.
 */
import { interpolateCividis } from 'd3-scale-chromatic'

const LEVELS = 256

/** The 256 colours as [red, green, blue] bytes, from failure to success. */
export const cividis: readonly [number, number, number][] = Array.from({ length: LEVELS }, (_, i) =>
  parse(interpolateCividis(i / (LEVELS - 1))),
)

/** The colour of a share 0…1 as CSS; values outside are clamped. */
export function successColour(p: number): string {
  const [r, g, b] = cividis[level(p)]!
  return `rgb(${r} ${g} ${b})`
}

/** Ink or paper, whichever reads better on the colour of a share. */
export function inkOn(p: number): 'ink' | 'paper' {
  const [r, g, b] = cividis[level(p)]!
  return 0.2126 * r + 0.7152 * g + 0.0722 * b > 120 ? 'ink' : 'paper'
}

/** Index of a share's colour. */
export function level(p: number): number {
  return Math.max(0, Math.min(LEVELS - 1, Math.round(p * (LEVELS - 1))))
}

/** The 256 colours as 32-bit pixels of this machine's ImageData, opaque. */
export function pixelTable(): Uint32Array {
  const bytes = new Uint8ClampedArray(LEVELS * 4)
  cividis.forEach(([r, g, b], i) => bytes.set([r, g, b, 255], i * 4))
  return new Uint32Array(bytes.buffer)
}

/** Mixes a pixel table towards one colour by a share 0…1; for hatching lines. */
export function mixedTable(table: Uint32Array, colour: [number, number, number], share: number): Uint32Array {
  const bytes = new Uint8ClampedArray(table.slice().buffer)
  for (let i = 0; i < bytes.length; i += 4) {
    for (let c = 0; c < 3; c++) bytes[i + c] = bytes[i + c]! * (1 - share) + colour[c]! * share
  }
  return new Uint32Array(bytes.buffer)
}

function parse(css: string): [number, number, number] {
  const parts = css.match(/\d+/g)
  if (!parts || parts.length < 3) throw new Error(`not a colour: ${css}`)
  return [Number(parts[0]), Number(parts[1]), Number(parts[2])]
}
