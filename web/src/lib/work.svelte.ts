/** One long question to the server: what came of it, how long it has taken, and a way to stop it. */
import { announce } from './announce.svelte'
import { ApiError } from './api/client'

export class Work<T> {
  ready = $state.raw<T | null>(null)
  error = $state.raw<ApiError | null>(null)
  state = $state<'idle' | 'working' | 'ready' | 'stopped' | 'failed'>('idle')
  /** Whole seconds since the question was asked. */
  seconds = $state(0)
  private abort: AbortController | null = null
  private clock: ReturnType<typeof setInterval> | undefined

  /** Drops a question that is under way and asks this one. True when its answer is in `ready`. */
  async run(job: (signal: AbortSignal) => Promise<T>): Promise<boolean> {
    this.cancel()
    const abort = new AbortController()
    this.abort = abort
    this.state = 'working'
    this.error = null
    this.seconds = 0
    const began = Date.now()
    this.clock = setInterval(() => (this.seconds = Math.floor((Date.now() - began) / 1000)), 500)
    try {
      const answer = await job(abort.signal)
      if (abort.signal.aborted) return false
      this.ready = answer
      this.state = 'ready'
      return true
    } catch (cause) {
      if (abort.signal.aborted) return false
      this.error =
        cause instanceof ApiError
          ? cause
          : new ApiError(0, 'internal', (cause as Error).message ?? String(cause))
      this.state = 'failed'
      return false
    } finally {
      if (this.abort === abort) {
        clearInterval(this.clock)
        this.abort = null
      }
    }
  }

  /** Stops waiting; the server drops the work when nobody else waits for it. */
  stop(): void {
    if (!this.abort) return
    this.cancel()
    this.state = 'stopped'
    announce('Stopped')
  }

  cancel(): void {
    this.abort?.abort()
    this.abort = null
    clearInterval(this.clock)
  }
}
