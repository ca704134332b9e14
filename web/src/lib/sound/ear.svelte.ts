/** A stream of samples to the server and the touches that it tells in it. */
import { ApiError, touchLive, whyNotLive, type TouchAnswer } from '$lib/api'

/** A touch that was told, with the very samples that were asked about. */
export interface Heard {
  n: number
  answer: TouchAnswer
  samples: Float32Array
  rateHz: number
  /** The model's zones when it was told, in the order of the answer's probabilities. */
  zones: string[]
  /** Where it really was, in mm; known of invented touches only. */
  trueMm?: number
}

/** How many touches stay in view. */
const KEPT = 50
/** Samples that are kept to show and store what was heard: 5 s at 48 kHz. */
const RING = 1 << 18

export class Ear {
  state = $state<'closed' | 'opening' | 'open'>('closed')
  /** Newest first. */
  heard = $state.raw<Heard[]>([])
  error = $state.raw<ApiError | null>(null)
  /** Loudest sample of the last tenth of a second, full scale 1. */
  level = $state(0)
  rateHz = $state(0)
  /** Called for every touch as it is told. */
  ontouch: (heard: Heard) => void = () => {}
  /** Where the touches that come are, as far as it is known. */
  trueMm: number | undefined
  private zones: string[] = []
  private socket: WebSocket | null = null
  private ring = new Float32Array(RING)
  private sent = 0
  private peak = 0
  private peakOver = 0
  private count = 0

  constructor(private readonly hand: string) {}

  /** Opens a stream of samples at a rate, to be answered by a model of these zones. False when the server would not have it; `error` says why. */
  async open(rateHz: number, zones: string[]): Promise<boolean> {
    this.close()
    this.state = 'opening'
    this.error = null
    this.rateHz = rateHz
    this.zones = zones
    const socket = new WebSocket(touchLive(this.hand, rateHz))
    socket.binaryType = 'arraybuffer'
    this.socket = socket
    const opened = await new Promise<boolean>((done) => {
      socket.onopen = () => done(true)
      socket.onerror = () => done(false)
    })
    if (this.socket !== socket) return false
    if (!opened) {
      this.socket = null
      this.error = await whyNotLive(this.hand, rateHz)
      this.state = 'closed'
      return false
    }
    this.sent = 0
    this.state = 'open'
    socket.onmessage = (event) => this.take(JSON.parse(String(event.data)) as TouchAnswer)
    socket.onclose = () => {
      if (this.socket !== socket) return
      this.close()
      this.error ??= new ApiError(
        0,
        'offline',
        'The server ended the stream. Is it still running? Begin again.',
      )
    }
    return true
  }

  /** Sends the next samples. */
  feed(samples: Float32Array): void {
    if (this.state !== 'open') return
    for (const v of samples) {
      this.ring[this.sent++ % RING] = v
      this.peak = Math.max(this.peak, Math.abs(v))
    }
    this.peakOver += samples.length
    if (this.peakOver > this.rateHz / 10) {
      this.level = this.peak
      this.peak = this.peakOver = 0
    }
    this.socket!.send(samples as Float32Array<ArrayBuffer>)
  }

  /** Sends a whole sound, no faster than the server can answer. */
  async feedAll(samples: Float32Array): Promise<void> {
    const block = Math.round(this.rateHz / 4)
    for (let at = 0; at < samples.length && this.state === 'open'; at += block) {
      this.feed(samples.slice(at, at + block))
      do await new Promise((done) => setTimeout(done, 10))
      while (this.socket && this.socket.bufferedAmount > 1 << 20)
    }
  }

  close(): void {
    this.socket?.close()
    this.socket = null
    this.state = 'closed'
    this.level = this.peak = this.peakOver = 0
  }

  private take(answer: TouchAnswer): void {
    if (answer.kind !== 'touch') {
      this.error = new ApiError(0, 'refused', answer.message ?? 'The stream broke.')
      return
    }
    const heard = {
      n: ++this.count,
      answer,
      samples: this.cut(Math.round(answer.start_s * this.rateHz), answer.samples),
      rateHz: this.rateHz,
      zones: this.zones,
      trueMm: this.trueMm,
    }
    this.heard = [heard, ...this.heard].slice(0, KEPT)
    this.ontouch(heard)
  }

  private cut(start: number, count: number): Float32Array {
    const out = new Float32Array(count)
    for (let i = 0; i < count; i++) out[i] = this.ring[(start + i) % RING]!
    return out
  }
}
