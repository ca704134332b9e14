/** Which of the server's field faults belongs to which field of a form. */
import { getContext, setContext } from 'svelte'
import type { ApiError, FieldFault } from './api'

const key = Symbol('faults')

export interface Faults {
  /** What is wrong with the field; empty when nothing is. */
  of(field: string): string
}

/** Provides the faults of a form's last refusal to the fields inside it. */
export function provideFaults(error: () => ApiError | null | undefined) {
  setContext<Faults>(key, { of: (field) => faultText(error()?.faults ?? [], field) })
}

/** The faults that the surrounding form provides; none outside a form. */
export function useFaults(): Faults {
  return getContext<Faults | undefined>(key) ?? { of: () => '' }
}

/** The messages for a field and for the elements of a list field, without repeats. */
export function faultText(faults: FieldFault[], field: string): string {
  const own = faults.filter((f) => f.field === field || f.field.startsWith(field + '['))
  return [...new Set(own.map((f) => f.message + (f.value ? ` (got ${f.value})` : '')))].join('; ')
}
