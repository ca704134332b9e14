/** The map that is asked for: fetched with its picture and its trials, shown while a newer one is on its way, and stopped on request. */
import { ApiError, getMap, getMapMarks, getMapRaster, type MapInfo, type MapQuery } from '$lib/api'
import { announce } from '$lib/announce.svelte'
import { MarkSet } from '$lib/plots/marks'
import { Raster } from '$lib/plots/raster'

export interface ReadyMap {
  query: MapQuery
  info: MapInfo
  raster: Raster
  marks: MarkSet
}

export class Fitting {
  ready = $state.raw<ReadyMap | null>(null)
  error = $state.raw<ApiError | null>(null)
  state = $state<'idle' | 'fitting' | 'ready' | 'stopped' | 'failed'>('idle')
  /** Whole seconds since the question was asked. */
  seconds = $state(0)
  private abort: AbortController | null = null
  private clock: ReturnType<typeof setInterval> | undefined
  private readonly study: string

  constructor(study: string) {
    this.study = study
  }

  async ask(query: MapQuery): Promise<void> {
    this.cancel()
    const abort = new AbortController()
    this.abort = abort
    this.state = 'fitting'
    this.error = null
    this.seconds = 0
    const began = Date.now()
    this.clock = setInterval(() => (this.seconds = Math.floor((Date.now() - began) / 1000)), 500)
    // Another condition: an old picture beside a new name would mislead.
    if (this.ready && !sameCondition(this.ready.query, query)) this.ready = null
    try {
      const info = await getMap(this.study, query, abort.signal)
      const [bytes, columns] = await Promise.all([
        getMapRaster(this.study, query, abort.signal),
        getMapMarks(this.study, query, abort.signal),
      ])
      if (abort.signal.aborted) return
      this.ready = {
        query,
        info,
        raster: Raster.decode(bytes.buffer as ArrayBuffer, info.raster, info.heading_fold),
        marks: new MarkSet(columns, info.tilt_max_deg, info.heading_fold),
      }
      this.state = 'ready'
      announce(`Map of ${info.trials} trials drawn`)
    } catch (cause) {
      if (abort.signal.aborted) return
      this.error =
        cause instanceof ApiError
          ? cause
          : new ApiError(0, 'internal', (cause as Error).message ?? String(cause))
      this.state = 'failed'
    } finally {
      if (this.abort === abort) {
        clearInterval(this.clock)
        this.abort = null
      }
    }
  }

  /** Stops waiting; the server drops the fit when nobody else waits for it. */
  stop(): void {
    if (!this.abort) return
    this.cancel()
    this.state = 'stopped'
    announce('Fit stopped')
  }

  cancel(): void {
    this.abort?.abort()
    this.abort = null
    clearInterval(this.clock)
  }
}

function sameCondition(a: MapQuery, b: MapQuery): boolean {
  return a.hand === b.hand && a.item === b.item && a.setting === b.setting && a.strategy === b.strategy
}
