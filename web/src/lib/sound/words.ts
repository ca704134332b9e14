/** What was told of a touch, in words. */
import type { TouchAnswer } from '$lib/api'
import { fixed, percent } from '$lib/format'

const known = (v: number | null | undefined): v is number => v !== undefined && v !== null

/** What was held out to test a model, as people call it. */
export const unitOf = (heldOut: string): string => (heldOut === 'specimen' ? 'finger' : 'day or mounting')

/** "tip (99 %), 72 mm, 64 to 80": what is told; "not sure" where the touch is unlike all that was learnt. */
export function inShort(answer: TouchAnswer, zones: string[]): string {
  if (answer.unsure) return 'not sure'
  const parts: string[] = []
  if (answer.zone)
    parts.push(`${answer.zone} (${percent(answer.probabilities?.[zones.indexOf(answer.zone)] ?? NaN)})`)
  if (known(answer.position_mm)) parts.push(placeOf(answer))
  return parts.join(', ') || 'something touched'
}

/** "72 mm, 64 to 80". */
export function placeOf(answer: TouchAnswer): string {
  if (!known(answer.position_mm)) return '–'
  const place = `${fixed(answer.position_mm, 0)}\u202fmm`
  return known(answer.position_low_mm) && known(answer.position_high_mm)
    ? `${place}, ${fixed(answer.position_low_mm, 0)} to ${fixed(answer.position_high_mm, 0)}`
    : place
}

/** A whole sentence or two for readers who do not see the picture. */
export function told(
  answer: TouchAnswer | undefined,
  zones: string[],
  trueMm: number | undefined,
  level: number,
): string {
  if (!answer) return 'Nothing was heard yet.'
  const real = known(trueMm) ? ` It really was at ${fixed(trueMm, 0)} mm.` : ''
  if (answer.unsure)
    return `Not sure: this touch is unlike all that was learnt; ${answer.zone ? `the nearest guess would be ${answer.zone}` : 'no place is told'}.${real}`
  if (!answer.zone && !known(answer.position_mm))
    return `Something touched; nothing was learnt yet, so no place is told.${real}`
  const likely = (answer.probabilities ?? [])
    .map((p, i) => ({ p, zone: zones[i] ?? '' }))
    .filter((z) => z.p >= 0.01)
    .sort((a, b) => b.p - a.p)
    .map((z) => `${z.zone} ${percent(z.p)}`)
    .join(', ')
  const place = known(answer.position_mm) ? ` Place ${placeOf(answer)} mm (${percent(level)} interval).` : ''
  return `${likely ? `Told: ${likely}.` : ''}${place}${real}`.trim()
}
