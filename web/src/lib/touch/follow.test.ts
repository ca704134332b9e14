import { expect, test } from 'vitest'
import { joined, KEPT_FRAMES } from './follow.svelte'

const at = (...times: number[]) => times.map((time_s) => ({ time_s }))

test('frames join on, the oldest leave, and what is known of all stays', () => {
  const first = joined(null, { frames: at(), sentence: 'a' }, [])
  expect(first).toEqual({ frames: [], sentence: 'a' })
  const second = joined(first, undefined, at(1, 2))
  expect(second).toEqual({ frames: at(1, 2), sentence: 'a' })
  expect(joined(second, { frames: at(), sentence: 'b' }, at(3))).toEqual({
    frames: at(1, 2, 3),
    sentence: 'b',
  })
  const many = joined(second, undefined, at(...Array.from({ length: KEPT_FRAMES }, (_, k) => 3 + k)))
  expect(many?.frames).toHaveLength(KEPT_FRAMES)
  expect(many?.frames[0]).toEqual({ time_s: 3 })
})

test('a rig that begins anew is shown anew', () => {
  expect(joined({ frames: at(5, 6) }, undefined, at(0))).toEqual({ frames: at(0) })
})

test('without a report there is nothing to show', () => {
  expect(joined(null, undefined, at(1))).toBeNull()
})
