/** Figures of a comparison in words. */

/** A probability without claiming certainty. */
export const chance = (p: number) => (p > 0.9995 ? 'above 0.999' : p < 0.0005 ? 'below 0.001' : p.toFixed(3))

export const pValue = (p: number) => (p < 0.0005 ? '< 0.001' : p.toFixed(3))

export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1)
