/** One short act on the server at a time: whether it is under way, and why it could not be done. Long questions are `Work`. */
import { announce } from './announce.svelte'
import { ApiError } from './api/client'

export class Deed {
  busy = $state(false)
  error = $state.raw<ApiError | null>(null)

  /** Does it and says so aloud; true when it was done. */
  async act(what: () => Promise<unknown>, said?: string): Promise<boolean> {
    this.busy = true
    this.error = null
    try {
      await what()
      if (said) announce(said)
      return true
    } catch (cause) {
      if (!(cause instanceof ApiError)) throw cause
      this.error = cause
      return false
    } finally {
      this.busy = false
    }
  }
}
