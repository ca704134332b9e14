/** Colours of the pictures: paper, ink, and the page's one accent. */
export const palette = {
  ink: 0x1b2320,
  soft: 0x4d5853,
  accent: 0x1c5a44,
  palm: 0xc9cfc9,
  fingerAir: 0xd9ddd6,
  fingerMotor: 0xb9c1bb,
  joint: 0x55605a,
  item: 0xd8b98a,
  itemEdge: 0x8a6f47,
  support: 0xf0ede5,
  supportEdge: 0xb9b5a9,
  belt: 0xdedbd2,
  wall: 0xe4e0d6,
} as const

/** A palette colour as CSS. */
export function css(colour: number): string {
  return '#' + colour.toString(16).padStart(6, '0')
}
