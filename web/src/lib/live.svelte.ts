/** What changed in the lab, as the server tells it, and how well we hear it. */
import { address } from './api/client'

/** A change: what sort of thing, in which study (empty for hands, items, settings, cards), which one. */
export interface Change {
  topic: string
  study: string
  id: string
}

type Listener = (change: Change) => void

const listeners = new Set<Listener>()

/** The connection in words. `live`: changes arrive; `waiting`: trying again; `off`: not started. */
export const connection = $state<{ state: 'off' | 'waiting' | 'live' }>({ state: 'off' })

/** Calls back for every change until the returned function is called. A change with topic "resync" means: anything. */
export function onChange(listener: Listener): () => void {
  listeners.add(listener)
  return () => listeners.delete(listener)
}

function tell(change: Change) {
  for (const listener of [...listeners]) listener(change)
}

/** Reads the data of a change event; null when it is not one. */
export function readChange(data: string): Change | null {
  try {
    const change = JSON.parse(data) as Partial<Change>
    if (typeof change.topic !== 'string') return null
    return { topic: change.topic, study: change.study ?? '', id: change.id ?? '' }
  } catch {
    return null
  }
}

/** Opens the stream; the browser opens it again by itself when it breaks. Returns the function that closes it. */
export function startLive(): () => void {
  const source = new EventSource(address('/events'))
  let heardBefore = false
  source.addEventListener('change', (event) => {
    const change = readChange((event as MessageEvent<string>).data)
    if (change) tell(change)
  })
  source.addEventListener('resync', () => tell({ topic: 'resync', study: '', id: '' }))
  source.onopen = () => {
    connection.state = 'live'
    // After a break anything may have changed.
    if (heardBefore) tell({ topic: 'resync', study: '', id: '' })
    heardBefore = true
  }
  source.onerror = () => {
    connection.state = 'waiting'
  }
  return () => {
    source.close()
    connection.state = 'off'
  }
}
