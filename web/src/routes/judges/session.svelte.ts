/** Second opinions one after the other: the next trial without its outcome, a key for the answer, and what others said afterwards. */
import { ApiError, listUnjudged, logJudgement, type BlindTrial, type Outcome } from '$lib/api'
import { announce } from '$lib/announce.svelte'
import { outcome as spec } from '$lib/plots/outcomes'

export interface Given {
  trial: number
  outcome: Outcome
}

export class JudgeSession {
  /** Trials on hand; the first is shown. */
  waiting = $state.raw<BlindTrial[]>([])
  left = $state(0)
  done = $state.raw<Given[]>([])
  saving = $state(false)
  error = $state.raw<ApiError | null>(null)
  loaded = $state(false)
  /** Trials put off in this sitting. */
  private later = new Set<number>()
  private readonly study: string
  judge = ''

  constructor(study: string) {
    this.study = study
  }

  async start(judge: string): Promise<void> {
    this.judge = judge.trim()
    this.later.clear()
    this.done = []
    this.waiting = []
    this.loaded = false
    if (this.judge) await this.fetch()
  }

  private async fetch(): Promise<void> {
    const judge = this.judge
    try {
      const list = await listUnjudged(this.study, judge, 20 + this.later.size)
      if (judge !== this.judge) return
      this.waiting = (list.trials ?? []).filter((t) => !this.later.has(t.trial))
      this.left = list.left
      this.error = null
    } catch (cause) {
      this.error = cause instanceof ApiError ? cause : new ApiError(0, 'internal', String(cause))
    }
    this.loaded = true
  }

  get now(): BlindTrial | undefined {
    return this.waiting[0]
  }

  async say(outcome: Outcome, note: string): Promise<boolean> {
    const trial = this.now
    if (!trial || this.saving) return false
    this.saving = true
    try {
      await logJudgement(this.study, {
        // One judge, one trial, one sitting: a request that is sent again is known by this key.
        key: `${this.judge}/${trial.trial}/${this.sitting}`,
        trial: trial.trial,
        judge: this.judge,
        outcome: outcome as Exclude<Outcome, 'void'>,
        note: note.trim() || undefined,
      })
      this.error = null
      this.done = [{ trial: trial.trial, outcome }, ...this.done]
      this.left--
      this.waiting = this.waiting.slice(1)
      announce(`Trial ${trial.trial} judged ${spec(outcome).label.toLowerCase()}`)
      if (this.waiting.length === 0 && this.left > this.later.size) await this.fetch()
      return true
    } catch (cause) {
      this.error = cause instanceof ApiError ? cause : new ApiError(0, 'internal', String(cause))
      // The answer to an earlier try was lost on its way: the trial is judged, so go on with the others.
      if (this.error.kind === 'conflict') await this.fetch()
      return false
    } finally {
      this.saving = false
    }
  }

  async skip(): Promise<void> {
    if (!this.now || this.saving) return
    this.later.add(this.now.trial)
    this.waiting = this.waiting.slice(1)
    if (this.waiting.length === 0 && this.left > this.later.size) await this.fetch()
  }

  private readonly sitting = crypto.randomUUID?.() ?? String(Date.now())
}
