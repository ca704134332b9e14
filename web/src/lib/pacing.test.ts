import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { Pacing } from './pacing'

beforeEach(() => vi.useFakeTimers())
afterEach(() => vi.useRealTimers())

/** A page whose every answer takes so many ms, asked for the first time. */
function page(takes: number) {
  const seen = { asked: 0, answered: 0 }
  let answer: ReturnType<typeof setTimeout>
  const ask = () => {
    clearTimeout(answer) // a new question gives the old one up
    seen.asked++
    pacing.begin()
    answer = setTimeout(() => {
      seen.answered++
      pacing.end()
    }, takes)
  }
  const pacing = new Pacing(ask, () => Date.now())
  ask()
  return { seen, pacing }
}

test('a change every half second does not keep an answer of three seconds from coming, nor the page from resting', () => {
  const { seen, pacing } = page(3000)
  const rig = setInterval(() => pacing.change(), 500)
  vi.advanceTimersByTime(60_000)
  clearInterval(rig)
  expect(seen.answered).toBeGreaterThanOrEqual(9)
  expect(seen.asked).toBeLessThanOrEqual(12)
  vi.advanceTimersByTime(30_000)
  const done = seen.asked
  expect(seen.answered).toBe(done)
  vi.advanceTimersByTime(60_000)
  expect(seen.asked).toBe(done)
})

test('what changed while an answer was on its way is asked for after it, once', () => {
  const { seen, pacing } = page(100)
  pacing.change()
  pacing.change()
  expect(seen.asked).toBe(1)
  vi.advanceTimersByTime(100 + 120)
  expect(seen.asked).toBe(2)
  vi.advanceTimersByTime(10_000)
  expect(seen.asked).toBe(2)
})

test('many changes at once are one question, soon', () => {
  const { seen, pacing } = page(20)
  vi.advanceTimersByTime(1000)
  for (let i = 0; i < 50; i++) pacing.change()
  vi.advanceTimersByTime(119)
  expect(seen.asked).toBe(1)
  vi.advanceTimersByTime(1)
  expect(seen.asked).toBe(2)
})

test('after a change in a stream without gaps the question is still asked', () => {
  const { seen, pacing } = page(10)
  vi.advanceTimersByTime(100)
  const rig = setInterval(() => pacing.change(), 50)
  vi.advanceTimersByTime(2000)
  clearInterval(rig)
  expect(seen.asked).toBeGreaterThan(5)
})

test('a closed page asks no more', () => {
  const { seen, pacing } = page(10)
  vi.advanceTimersByTime(100)
  pacing.change()
  pacing.close()
  vi.advanceTimersByTime(1000)
  expect(seen.asked).toBe(1)
})
