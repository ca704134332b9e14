/** Editing one thing with optimistic concurrency: a draft, what it began from, and what came between. */
import { ApiError, draftOf, type Catalogue, type Draft, type Tagged } from './api'
import { alike, differences, merged, type Difference } from './merge'

interface Named {
  id?: string
}

/** The state of an editing form. `N` is the thing as the server tells it. */
export class Editing<N extends Named & object> {
  draft = $state<Draft<N>>() as Draft<N>
  error = $state.raw<ApiError | null>(null)
  busy = $state(false)
  conflict = $state.raw<Difference[]>([])
  conflictOpen = $state(false)
  #base = $state.raw<Draft<N>>() as Draft<N>
  #etag = ''
  #theirs: Tagged<N> | null = null

  constructor(
    private readonly catalogue: Catalogue<N>,
    start: { blank: Draft<N> } | { opened: Tagged<N> },
  ) {
    if ('blank' in start) this.#begin(start.blank, '')
    else this.#begin(draftOf(start.opened.value), start.opened.etag)
  }

  get isNew(): boolean {
    return this.#etag === ''
  }
  get changed(): boolean {
    return !alike(this.draft, this.#base)
  }

  #begin(thing: Draft<N>, etag: string) {
    this.#base = structuredClone(thing)
    this.draft = structuredClone(thing)
    this.#etag = etag
    this.error = null
  }

  /** Takes a newer version from the server when nothing was edited here; otherwise saving will ask. */
  refresh(opened: Tagged<N>) {
    if (opened.etag !== this.#etag && !this.changed && !this.busy)
      this.#begin(draftOf(opened.value), opened.etag)
  }

  undo() {
    this.draft = structuredClone(this.#base)
    this.error = null
  }

  /** Saves the draft. Gives the stored thing, or null when it was refused or must be merged first. */
  async save(): Promise<N | null> {
    this.busy = true
    this.error = null
    const mine = $state.snapshot(this.draft) as Draft<N>
    try {
      const saved =
        this.#etag === ''
          ? await this.catalogue.create(mine)
          : await this.catalogue.replace((this.#base as Named).id!, mine, this.#etag)
      this.#begin(draftOf(saved.value), saved.etag)
      return saved.value
    } catch (cause) {
      if (!(cause instanceof ApiError)) throw cause
      if (cause.stale) await this.#meet(mine)
      else this.error = cause
      return null
    } finally {
      this.busy = false
    }
  }

  async #meet(mine: Draft<N>) {
    try {
      this.#theirs = await this.catalogue.get((this.#base as Named).id!)
      this.conflict = differences(this.#base, mine, draftOf(this.#theirs.value))
      this.conflictOpen = true
    } catch (cause) {
      this.error = cause instanceof ApiError ? cause : null
    }
  }

  /** Goes on from their version with the fields chosen, and saves. */
  async resolve(choice: Record<string, 'mine' | 'theirs'>): Promise<N | null> {
    if (!this.#theirs) return null
    const theirs = draftOf(this.#theirs.value)
    this.draft = merged($state.snapshot(this.draft) as Draft<N>, theirs, choice)
    this.#base = theirs
    this.#etag = this.#theirs.etag
    this.#theirs = null
    this.conflictOpen = false
    return this.save()
  }
}
