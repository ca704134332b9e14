import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'

const css = readFileSync(join(import.meta.dirname, 'tokens.css'), 'utf8')
const token = (name: string) => {
  const found = new RegExp(`--${name}:\\s*(#[0-9a-f]{6})`).exec(css)
  if (!found) throw new Error(`no colour --${name}`)
  return found[1]!
}

/** Contrast ratio of two colours: W3C, Web Content Accessibility Guidelines 2.2 (2023), "contrast ratio" and "relative luminance". */
function contrast(a: string, b: string): number {
  const luminance = (hex: string) => {
    const [r, g, bl] = [1, 3, 5].map((i) => {
      const c = parseInt(hex.slice(i, i + 2), 16) / 255
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
    })
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * bl!
  }
  const [hi, lo] = [luminance(a), luminance(b)].sort((x, y) => y - x)
  return (hi! + 0.05) / (lo! + 0.05)
}

test('black on white is 21, a colour on itself is 1', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10)
  expect(contrast('#777777', '#777777')).toBe(1)
})

// Level AA: 4.5 for text, 3 for borders of what can be operated.
test.each([
  ['ink', ['paper', 'sheet', 'sunk', 'accent-tint', 'care-tint', 'stop-tint']],
  ['ink-soft', ['paper', 'sheet', 'sunk', 'accent-tint', 'care-tint', 'stop-tint']],
  ['accent', ['paper', 'sheet', 'sunk', 'accent-tint', 'care-tint']],
  ['accent-deep', ['accent-tint']],
  ['care', ['care-tint', 'sheet']],
  ['stop', ['stop-tint', 'sheet', 'paper']],
  ['on-accent', ['accent', 'accent-deep']],
])('%s can be read on %s', (text, grounds) => {
  for (const ground of grounds)
    expect(contrast(token(text), token(ground)), ground).toBeGreaterThanOrEqual(4.5)
})

test.each(['paper', 'sheet', 'sunk'])('edges and focus show on %s', (ground) => {
  expect(contrast(token('edge'), token(ground))).toBeGreaterThanOrEqual(3)
  expect(contrast(token('focus'), token(ground))).toBeGreaterThanOrEqual(3)
})
