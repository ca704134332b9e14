import { afterEach, expect, test, vi } from 'vitest'
import { connection, onChange, readChange, startLive, type Change } from './live.svelte'

class FakeSource extends EventTarget {
  static newest: FakeSource
  onopen: (() => void) | null = null
  onerror: (() => void) | null = null
  closed = false
  constructor(readonly url: string) {
    super()
    FakeSource.newest = this
  }
  close() {
    this.closed = true
  }
  tell(type: string, data = '') {
    this.dispatchEvent(new MessageEvent(type, { data }))
  }
}

afterEach(() => vi.unstubAllGlobals())

test('passes changes on, says when the line is down, and asks for everything after a break', () => {
  vi.stubGlobal('EventSource', FakeSource)
  const heard: Change[] = []
  const forget = onChange((c) => heard.push(c))
  const stop = startLive()
  const source = FakeSource.newest
  expect(source.url).toBe('/api/v1/events')

  source.onopen!()
  expect(connection.state).toBe('live')
  expect(heard).toEqual([])
  source.tell('change', '{"topic":"trials","study":"a","id":"3"}')
  source.tell('change', 'not json')
  expect(heard).toEqual([{ topic: 'trials', study: 'a', id: '3' }])

  source.onerror!()
  expect(connection.state).toBe('waiting')
  source.onopen!()
  source.tell('resync')
  expect(heard.slice(1).map((c) => c.topic)).toEqual(['resync', 'resync'])

  forget()
  source.tell('change', '{"topic":"hand"}')
  expect(heard).toHaveLength(3)
  stop()
  expect(source.closed).toBe(true)
})

test('a change needs a topic', () => {
  expect(readChange('{"study":"a"}')).toBeNull()
  expect(readChange('{"topic":"hand"}')).toEqual({ topic: 'hand', study: '', id: '' })
})
