/** When a page asks again after changes: soon, but never while an answer is still on its way, and not without a rest. */

const shortest = 120
const longest = 10_000

/**
 * Changes that come while a question is under way wait for its answer: a busy rig must not keep a page from ever
 * getting one. A question that took long is followed by a rest as long (at most ten seconds), so that an open page
 * leaves the processor to others at least half of the time. Times in ms.
 */
export class Pacing {
  private asking = false
  private missed = false
  private began = 0
  private ended = -Infinity
  private took = 0
  private timer: ReturnType<typeof setTimeout> | undefined

  constructor(
    private readonly ask: () => void,
    private readonly now: () => number = () => performance.now(),
  ) {}

  /** A question was asked; it covers all changes until now. */
  begin() {
    this.forget()
    this.asking = true
    this.missed = false
    this.began = this.now()
  }

  /** The question was answered, failed or was given up. */
  end() {
    if (!this.asking) return
    this.asking = false
    this.ended = this.now()
    this.took = this.ended - this.began
    if (this.missed) this.wait()
  }

  /** Something changed that the answer depends on. */
  change() {
    if (this.asking) this.missed = true
    else this.wait()
  }

  /** Many changes at once (an import, a busy rig) are one question. */
  private wait() {
    if (this.timer !== undefined) return
    const rest = Math.min(this.took, longest) - (this.now() - this.ended)
    this.timer = setTimeout(
      () => {
        this.timer = undefined
        this.ask()
      },
      Math.max(shortest, rest),
    )
  }

  /** Nothing is asked any more. */
  close() {
    this.forget()
    this.asking = this.missed = false
  }

  private forget() {
    clearTimeout(this.timer)
    this.timer = undefined
  }
}
