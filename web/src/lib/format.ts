/** Numbers and times as people read them. A value's unit is always written with it. */

/** A share of 1 in per cent: whole numbers, but one decimal where that would read 0 or 100 without being so. */
export function percent(share: number): string {
  if (!Number.isFinite(share)) return '–'
  const value = share * 100
  const decimals = value !== 0 && value !== 100 && (value < 1 || value > 99) ? 1 : 0
  let text = value.toFixed(decimals)
  if (decimals && (text === '0.0' || text === '100.0')) text = text === '0.0' ? '<0.1' : '>99.9'
  return text + '\u00a0%'
}

/** A sentence in which no line break parts a number from its per cent sign. */
export function unbroken(sentence: string): string {
  return sentence.replaceAll(' %', '\u00a0%')
}

/** A number with at most so many decimals, without trailing zeros, a real minus sign, thousands set apart. */
export function number(value: number | null | undefined, decimals = 1): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–'
  const factor = 10 ** decimals
  const rounded = Math.round(value * factor) / factor
  return (rounded === 0 ? 0 : rounded)
    .toLocaleString('en', { maximumFractionDigits: decimals })
    .replace('-', '−')
}

/** A number with its unit; the degree sign stands close, other units after a narrow space. */
export function quantity(value: number | null | undefined, unit: string, decimals = 1): string {
  const text = number(value, decimals)
  if (text === '–') return text
  return unit === '°' ? text + '°' : `${text}\u202f${unit}`
}

/** Hours in words that fit the size: "25 min", "3 h 10 min", "2 days of 8 h". */
export function hours(value: number): string {
  if (!Number.isFinite(value)) return '–'
  const minutes = Math.round(value * 60)
  if (minutes < 60) return `${minutes} min`
  if (value < 24) {
    const rest = minutes % 60
    return `${Math.floor(minutes / 60)} h${rest ? ` ${rest} min` : ''}`
  }
  return `${number(value, 0)} h`
}

/** A moment in the reader's time zone: date and time to the minute. */
export function moment(iso: string | null | undefined): string {
  if (!iso) return '–'
  const time = new Date(iso)
  if (Number.isNaN(time.getTime()) || time.getFullYear() < 1971) return '–'
  return time.toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' })
}

/** "1 trial", "12 trials". */
export function count(n: number, one: string, many = one + 's'): string {
  return `${n.toLocaleString('en')} ${n === 1 ? one : many}`
}

/** A number with always so many decimals, so that a column of them can be compared at a glance. */
export function fixed(value: number | null | undefined, decimals = 1): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–'
  const text = value.toFixed(decimals)
  return (Number(text) === 0 ? (0).toFixed(decimals) : text).replace('-', '−')
}

/** Short facts in one line; a break never leaves the dot at a line's start. */
export function facts(parts: (string | false | undefined)[]): string {
  return parts.filter(Boolean).join('\u00a0· ')
}
