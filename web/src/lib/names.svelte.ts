/** Names of hands, items and settings by their IDs; an ID stands for itself until its name is known. */
import { hands, items, settings } from './api'
import { resource, type Resource } from './resource.svelte'

/** Call it while a component is set up. */
export function useNames(): (id: string) => string {
  const all: Resource<{ id?: string; name: string }[]>[] = [
    resource((s) => hands.list(s), { topics: ['hand'] }),
    resource((s) => items.list(s), { topics: ['item'] }),
    resource((s) => settings.list(s), { topics: ['setting'] }),
  ]
  const names = $derived(new Map(all.flatMap((r) => r.data ?? []).map((t) => [t.id ?? '', t.name])))
  return (id) => names.get(id) ?? id
}
