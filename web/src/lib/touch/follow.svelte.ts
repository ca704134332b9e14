/** A rig whose pads or strips are followed: pictures of what it reads come as it reads. */
import { ApiError, rigStream, whyNotFollow, type FollowStart, type RigSensor } from '$lib/api'

interface Framed {
  frames: { time_s: number }[]
}

interface Message<Report extends Framed> {
  kind: string
  report?: Report
  frames?: Report['frames']
  lost?: number
  message?: string
}

/** Frames that stay in view. */
export const KEPT_FRAMES = 300

/**
 * What is shown after further frames came: all of them when the rig began anew, else the last ones. A report without frames tells
 * what is known of all readings.
 */
export function joined<Report extends Framed>(
  before: Report | null,
  report: Report | undefined,
  frames: Report['frames'],
): Report | null {
  const known = report ?? before
  if (!known) return null
  const old = before?.frames ?? []
  const anew = frames.length > 0 && old.length > 0 && frames[0]!.time_s <= old[old.length - 1]!.time_s
  return { ...known, frames: [...(anew ? [] : old), ...frames].slice(-KEPT_FRAMES) }
}

export class Follower<Report extends Framed> {
  state = $state<'closed' | 'opening' | 'open'>('closed')
  error = $state.raw<ApiError | null>(null)
  report = $state.raw<Report | null>(null)
  /** Readings that came faster than they could be told. */
  lost = $state(0)
  private socket: WebSocket | null = null

  constructor(
    private readonly hand: string,
    private readonly sensor: RigSensor,
  ) {}

  /** Begins to follow; false when it can not be done, and `error` says why. */
  async open(start: FollowStart): Promise<boolean> {
    this.close()
    this.state = 'opening'
    this.error = null
    this.report = null
    this.lost = 0
    const socket = new WebSocket(rigStream(this.hand, this.sensor))
    this.socket = socket
    const opened = await new Promise<boolean>((done) => {
      socket.onopen = () => done(true)
      socket.onerror = () => done(false)
    })
    if (this.socket !== socket) return false
    if (!opened) {
      this.close()
      this.error = await whyNotFollow(this.hand, this.sensor)
      return false
    }
    socket.send(JSON.stringify(start))
    const told = new Promise<boolean>((done) => {
      socket.onmessage = (event) => done(this.take(JSON.parse(String(event.data)) as Message<Report>))
      socket.onclose = () => {
        done(false)
        if (this.socket !== socket) return
        this.close()
        this.error ??= new ApiError(
          0,
          'offline',
          'The server ended the stream. Is it still running? Begin again.',
        )
      }
    })
    return told
  }

  close(): void {
    this.socket?.close()
    this.socket = null
    this.state = 'closed'
  }

  private take(message: Message<Report>): boolean {
    if (message.kind === 'fault') {
      this.error = new ApiError(422, 'invalid', message.message ?? 'The stream broke.')
      this.close()
      return false
    }
    this.state = 'open'
    this.lost += message.lost ?? 0
    this.report = joined(this.report, message.report, message.frames ?? [])
    return true
  }
}
