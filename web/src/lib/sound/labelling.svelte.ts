/** Labels given clip after clip: what was said last can be taken back, and the record keeps all of it. */
import { ApiError, labelTouch, type NewTouchLabel, type TouchClip, type TouchState } from '$lib/api'

export class Labelling {
  busy = $state(false)
  error = $state.raw<ApiError | null>(null)
  /** What clips were called before, newest last. */
  private before = $state.raw<NewTouchLabel[]>([])

  constructor(
    private readonly hand: string,
    /** Number of the newest label that is known. */
    private readonly newest: () => number,
    /** Gets what changed after each label. */
    private readonly labelled: (state: TouchState) => void,
  ) {}

  get canUndo(): boolean {
    return this.before.length > 0
  }

  /** Labels a clip; what is left out stays as it was. True when it was stored. */
  async say(
    clip: TouchClip,
    change: Partial<Pick<TouchClip, 'zone' | 'position_mm' | 'leave_out'>>,
    by: string,
  ) {
    const old = labelOf(clip)
    if (!(await this.send({ ...old, leave_out: false, ...change, by }))) return false
    this.before = [...this.before, old]
    return true
  }

  /** Says again what was said before the last label. The clip's number when it was stored, null otherwise. */
  async undo(by: string): Promise<number | null> {
    const last = this.before.at(-1)
    if (!last || !(await this.send({ ...last, by }))) return null
    this.before = this.before.slice(0, -1)
    return last.clip
  }

  private async send(label: NewTouchLabel): Promise<boolean> {
    if (this.busy) return false
    this.error = null
    if (!label.by.trim()) {
      this.error = new ApiError(0, 'invalid', 'Say who labels: write a name beside the keys.')
      return false
    }
    this.busy = true
    try {
      this.labelled(await labelTouch(this.hand, [label], this.newest()))
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

const labelOf = (clip: TouchClip): NewTouchLabel => ({
  clip: clip.id,
  zone: clip.zone,
  position_mm: clip.position_mm,
  leave_out: clip.leave_out,
  by: clip.by,
})
