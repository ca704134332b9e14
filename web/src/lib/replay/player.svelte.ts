/** One clock for all films of the page: it stands still until somebody plays, and never plays by itself. */

export const speeds = [1, 0.25, 0.1] as const
export type Speed = (typeof speeds)[number]

export class Player {
  time = $state(0)
  playing = $state(false)
  speed = $state<Speed>(1)
  /** s, of the longest film. */
  length = $state(0)
  private frame = 0
  private before = 0

  toggle(): void {
    if (this.playing) this.pause()
    else this.play()
  }

  play(): void {
    if (this.length <= 0) return
    if (this.time >= this.length - 1e-6) this.time = 0
    this.playing = true
    this.before = performance.now()
    cancelAnimationFrame(this.frame)
    this.frame = requestAnimationFrame(this.tick)
  }

  pause(): void {
    this.playing = false
    cancelAnimationFrame(this.frame)
  }

  /** Goes to a time and stands there. */
  to(time: number): void {
    this.pause()
    this.time = Math.max(0, Math.min(this.length, time))
  }

  dispose(): void {
    this.pause()
  }

  private readonly tick = (now: number): void => {
    if (!this.playing) return
    // A page that was hidden goes on where it stood.
    const passed = Math.min(0.25, (now - this.before) / 1000)
    this.before = now
    this.time = Math.min(this.length, this.time + passed * this.speed)
    if (this.time >= this.length) this.playing = false
    else this.frame = requestAnimationFrame(this.tick)
  }
}
