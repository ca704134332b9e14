import { afterEach, beforeEach, expect, test } from 'vitest'
import { go, guardLeaving, match, place, setQuery, startRouter } from './router.svelte'
import { find, routes } from '../routes/routes'

beforeEach(() => go('/', { replace: true }))
let stop = () => {}
afterEach(() => stop())

test('patterns name their parts', () => {
  expect(match('/studies/:study/run', '/studies/soft-rolls/run')).toEqual({ study: 'soft-rolls' })
  expect(match('/studies/:study', '/studies/%C3%A9clairs/')).toEqual({ study: 'éclairs' })
  expect(match('/studies/:study', '/studies/a/b')).toBeNull()
  expect(match('/studies/:study', '/studies/%E0%A4%A')).toBeNull()
  expect(match('/', '/')).toEqual({})
})

test('every route finds itself, and nothing else finds an unknown address', () => {
  for (const route of routes) {
    expect(find(route.pattern.replace(/:\w+/g, 'x'))?.route).toBe(route)
  }
  expect(find('/feet')).toBeNull()
})

test('the query keeps what it is not told to change', () => {
  go('/studies?state=draft&page=3')
  setQuery({ page: null, block: 2 })
  expect(place.search).toBe('?state=draft&block=2')
  expect(location.search).toBe('?state=draft&block=2')
})

test('unsaved edits are asked about before leaving, not when the view changes', () => {
  let asked = 0
  window.confirm = () => {
    asked++
    return false
  }
  stop = guardLeaving(() => 'Not saved. Leave?')
  go('/hands')
  expect(asked).toBe(1)
  expect(place.path).toBe('/')
  setQuery({ view: 'plan' })
  expect(asked).toBe(1)
  expect(place.search).toBe('?view=plan')
})

test('links of this page are followed without loading; downloads and other sites are left alone', () => {
  stop = startRouter()
  document.body.innerHTML =
    '<a id="in" href="/items">i</a><a id="file" href="/api/v1/x.csv">f</a><a id="d" href="/hands" download>d</a>'
  const press = (id: string) => {
    const event = new MouseEvent('click', { bubbles: true, cancelable: true, button: 0 })
    // The test page can not load another address, so nothing may be left to the browser after our answer.
    document.body.addEventListener('click', (e) => e.preventDefault(), { once: true })
    document.getElementById(id)!.dispatchEvent(event)
  }
  const heard: string[] = []
  const real = history.pushState.bind(history)
  history.pushState = (data, unused, url) => {
    heard.push(String(url))
    real(data, unused, url)
  }
  const event = new MouseEvent('click', { bubbles: true, cancelable: true, button: 0 })
  document.getElementById('in')!.dispatchEvent(event)
  expect(event.defaultPrevented).toBe(true)
  expect(place.path).toBe('/items')
  press('file')
  press('d')
  expect(heard).toHaveLength(1)
  history.pushState = real
})
