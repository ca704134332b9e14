/** One person's work at one bench: the run in hand, trials on their way to the server, the last one recorded. */
import {
  ApiError,
  giveBack,
  logTrial,
  nextRun,
  type NewTrial,
  type NextRun,
  type Outcome,
  type Trial,
} from '$lib/api'
import { announce } from '$lib/announce.svelte'
import { outcome as spec } from '$lib/plots/outcomes'
import { keep, load, passes, waitSeconds, type Pending } from './pending'

/** What the page shows in the place of the next run. */
export type Stage = 'loading' | 'run' | 'nothing' | 'trouble'

/** The bench's own name: the same run comes back to it after a reload. */
export function holderName(storage: Storage = localStorage): string {
  const place = 'holdfast.holder'
  const known = storage.getItem(place)
  if (known) return known
  const made = 'bench-' + crypto.randomUUID().slice(0, 8)
  storage.setItem(place, made)
  return made
}

export class Session {
  readonly study: string
  readonly holder: string
  stage = $state<Stage>('loading')
  next = $state.raw<NextRun | null>(null)
  trouble = $state.raw<ApiError | null>(null)
  waiting = $state.raw<Pending[]>([])
  /** The server's refusal of the oldest waiting trial; it stays until the person decides. */
  refused = $state.raw<ApiError | null>(null)
  /** Seconds until the next attempt; 0: sending now. */
  retryIn = $state(0)
  last = $state.raw<Trial | null>(null)
  /** The browser would not store; a reload now would lose what waits. */
  storageFull = $state(false)
  private timer: ReturnType<typeof setTimeout> | undefined
  private shownAt = new Date()
  private busy = false
  private closed = false

  constructor(study: string) {
    this.study = study
    this.holder = holderName()
    this.waiting = load(localStorage, study)
  }

  /** Sends what an earlier visit left behind, then asks for the next run. */
  async start(): Promise<void> {
    if (this.waiting.length > 0) await this.flush()
    else await this.ask()
  }

  async close(): Promise<void> {
    this.closed = true
    clearTimeout(this.timer)
    if (this.next && this.waiting.length === 0) await giveBack(this.study, this.holder).catch(() => undefined)
  }

  /** Asks for the next run; the holder gets the same one again while it is not recorded. */
  async ask(): Promise<void> {
    try {
      const next = await nextRun(this.study, this.holder)
      if (this.closed) return
      if (this.next?.run.order !== next.run.order) this.shownAt = new Date()
      this.next = next
      this.trouble = null
      this.stage = 'run'
    } catch (cause) {
      if (this.closed) return
      const error = cause instanceof ApiError ? cause : new ApiError(0, 'internal', String(cause))
      this.trouble = error
      if (error.status === 404 || error.kind === 'refused') {
        this.next = null
        this.stage = 'nothing'
        return
      }
      this.stage = this.next ? 'run' : 'trouble'
      if (passes(error.status)) this.later(() => this.ask(), 4)
    }
  }

  /** Records the run in hand. */
  async record(outcome: Outcome, operator: string, voidReason = ''): Promise<void> {
    const run = this.next?.run
    if (!run || this.waiting.length > 0) return
    const trial: NewTrial = {
      key: crypto.randomUUID(),
      order: run.order,
      outcome,
      started_at: this.shownAt.toISOString(),
    }
    if (operator.trim()) trial.operator = operator.trim()
    if (voidReason) trial.void_reason = voidReason
    await this.enqueue(trial, spec(outcome).label.toLowerCase())
  }

  /** Replaces the last entry: another outcome, void with a reason, or more details. */
  async correct(change: Omit<NewTrial, 'key' | 'corrects'>, label: string): Promise<void> {
    if (!this.last || this.waiting.length > 0) return
    await this.enqueue({ ...change, key: crypto.randomUUID(), corrects: this.last.id }, label)
  }

  /** Gives up the oldest waiting trial after the server refused it. */
  async drop(): Promise<void> {
    this.put(this.waiting.slice(1))
    this.refused = null
    await this.start()
  }

  /** Tries at once. */
  async retry(): Promise<void> {
    clearTimeout(this.timer)
    this.refused = null
    if (this.waiting.length > 0) await this.flush()
    else await this.ask()
  }

  private async enqueue(trial: NewTrial, label: string): Promise<void> {
    // Stored first: from here on a reload, a crash or a dead network loses nothing.
    this.put([...this.waiting, { trial, label, attempts: 0 }])
    await this.flush()
  }

  private async flush(): Promise<void> {
    if (this.busy) return
    this.busy = true
    this.retryIn = 0
    try {
      while (this.waiting.length > 0) {
        const entry = this.waiting[0]!
        const stored = await logTrial(this.study, entry.trial)
        this.last = stored
        this.put(this.waiting.slice(1))
        announce(
          entry.trial.corrects
            ? `Trial ${stored.root} corrected: ${entry.label}`
            : `Trial ${stored.root} recorded: ${entry.label}`,
        )
      }
    } catch (cause) {
      const error = cause instanceof ApiError ? cause : new ApiError(0, 'internal', String(cause))
      const [first, ...rest] = this.waiting
      const attempts = first!.attempts + 1
      this.put([{ ...first!, attempts }, ...rest])
      if (passes(error.status)) {
        announce(`Not saved yet. ${error.message} The trial is kept on this device and sent again.`)
        this.later(() => this.flush(), waitSeconds(attempts))
      } else {
        this.refused = error
        announce(`The server refused the trial. ${error.message}`)
      }
      return
    } finally {
      this.busy = false
    }
    if (!this.closed) await this.ask()
  }

  private put(list: Pending[]): void {
    this.waiting = list
    this.storageFull = !keep(localStorage, this.study, list)
  }

  private later(what: () => Promise<void>, seconds: number): void {
    clearTimeout(this.timer)
    this.retryIn = seconds
    const step = () => {
      if (this.closed) return
      this.retryIn--
      if (this.retryIn <= 0) void what()
      else this.timer = setTimeout(step, 1000)
    }
    this.timer = setTimeout(step, 1000)
  }
}
