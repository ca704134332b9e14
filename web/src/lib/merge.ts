/** Two people edited the same thing: what differs, and one thing made of both. */

export interface Difference {
  /** Name of the field at the top of the thing. */
  field: string
  base: unknown
  mine: unknown
  theirs: unknown
  /** Who changed it since the version both began with. */
  who: 'mine' | 'theirs' | 'both'
}

type Thing = Record<string, unknown>

const same = (a: unknown, b: unknown) => JSON.stringify(sorted(a)) === JSON.stringify(sorted(b))

/** Puts the keys of objects in order, so that equal things are written alike; leaves out what is undefined or empty text. */
function sorted(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sorted)
  if (value === null || typeof value !== 'object') return value
  const out: Thing = {}
  for (const key of Object.keys(value).sort()) {
    const inner = (value as Thing)[key]
    if (inner !== undefined && inner !== '') out[key] = sorted(inner)
  }
  return out
}

/** Lists the fields in which mine and theirs differ. */
export function differences(base: object, mine: object, theirs: object): Difference[] {
  const [b, m, t] = [sorted(base) as Thing, sorted(mine) as Thing, sorted(theirs) as Thing]
  const fields = [...new Set([...Object.keys(b), ...Object.keys(m), ...Object.keys(t)])]
  return fields
    .filter((field) => !same(m[field], t[field]))
    .map((field) => ({
      field,
      base: b[field],
      mine: m[field],
      theirs: t[field],
      who: same(b[field], t[field]) ? 'mine' : same(b[field], m[field]) ? 'theirs' : 'both',
    }))
}

/** Takes each field from the side chosen for it; fields without a choice come from mine. */
export function merged<N extends object>(mine: N, theirs: N, choice: Record<string, 'mine' | 'theirs'>): N {
  const out = structuredClone(mine) as Thing
  for (const [field, side] of Object.entries(choice)) {
    if (side !== 'theirs') continue
    const value = (theirs as Thing)[field]
    if (value === undefined) delete out[field]
    else out[field] = structuredClone(value)
  }
  return out as N
}

/** Says whether two things are written alike. */
export function alike(a: unknown, b: unknown): boolean {
  return same(a, b)
}
