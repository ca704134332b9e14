/** Data of a page: fetched when the page opens, fetched again when the server says that it changed. */
import { onDestroy } from 'svelte'
import { announce } from './announce.svelte'
import { ApiError } from './api/client'
import { onChange, type Change } from './live.svelte'
import { Pacing } from './pacing'

export interface Resource<T> {
  /** The newest data; stays in view while newer data is on its way. */
  readonly data: T | undefined
  readonly error: ApiError | undefined
  readonly loading: boolean
  /** The reader stopped it; it stays so until it is asked again. */
  readonly stopped: boolean
  reload(): void
  /** Stops waiting; the server drops the work when nobody else waits for it. */
  stop(): void
}

export interface ResourceOptions {
  /** Fetch again after changes of these topics ("trials", "inspections", "judgements", "study", "hand", "item", "setting", "card", "proof", "bench"). */
  topics?: string[]
  /** Only changes of this study count. */
  study?: () => string
}

/**
 * Calls `fetcher` in an effect: it runs again when anything reactive that it reads before its first await changes,
 * and when the server reports a change. Answers that come late are dropped. Call it while a component is set up.
 */
export function resource<T>(
  fetcher: (signal: AbortSignal) => Promise<T> | null,
  options: ResourceOptions = {},
): Resource<T> {
  let data = $state.raw<T>()
  let error = $state.raw<ApiError>()
  let loading = $state(true)
  let stopped = $state(false)
  let again = $state(0)
  let underWay: AbortController | null = null
  const pacing = new Pacing(() => again++)

  $effect(() => {
    void again
    const abort = new AbortController()
    underWay = abort
    const asked = fetcher(abort.signal)
    stopped = false
    if (!asked) {
      pacing.close()
      data = undefined
      loading = false
      return
    }
    pacing.begin()
    loading = true
    asked.then(
      (answer) => {
        if (abort.signal.aborted) return
        data = answer
        error = undefined
        loading = false
        pacing.end()
      },
      (cause: unknown) => {
        if (abort.signal.aborted) return
        error = cause instanceof ApiError ? cause : new ApiError(0, 'internal', String(cause))
        loading = false
        pacing.end()
      },
    )
    return () => abort.abort()
  })

  const matters = (change: Change) =>
    change.topic === 'resync' ||
    (options.topics?.includes(change.topic) &&
      (!options.study || !change.study || change.study === options.study()))

  const stopListening = onChange((change) => {
    if (!options.topics || stopped || !matters(change)) return
    pacing.change()
  })
  onDestroy(() => {
    stopListening()
    pacing.close()
  })

  return {
    get data() {
      return data
    },
    get error() {
      return error
    },
    get loading() {
      return loading
    },
    get stopped() {
      return stopped
    },
    reload: () => again++,
    stop() {
      if (!loading) return
      underWay?.abort()
      pacing.close()
      loading = false
      stopped = true
      announce('Stopped')
    },
  }
}
