/** Reading numbers that people type. */

/** Reads a decimal number; a single comma may stand for the point. NaN when it is none, null when empty. */
export function readNumber(text: string): number | null {
  const trimmed = text.trim().replace('−', '-')
  if (trimmed === '') return null
  const plain = /^[^.,]*,[^.,]*$/.test(trimmed) ? trimmed.replace(',', '.') : trimmed
  return /^[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?$/i.test(plain) ? Number(plain) : NaN
}

/** Reads numbers set apart by spaces, semicolons or commas; NaN stands where one could not be read. */
export function readNumbers(text: string): number[] {
  return text
    .split(/[\s;,]+/)
    .filter(Boolean)
    .map((part) => readNumber(part) ?? NaN)
}

/** Writes a number as one would type it. */
export function writeNumber(value: number | null | undefined): string {
  return value === null || value === undefined || Number.isNaN(value)
    ? ''
    : String(Number(value.toPrecision(12)))
}
