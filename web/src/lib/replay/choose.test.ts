import { expect, test } from 'vitest'
import type { Trial } from '$lib/api'
import { neighbours, replayOf } from './choose'
import { replayType } from './document'

const trial = (root: number, tilt: number, more: Partial<Trial> = {}) =>
  ({
    root,
    hand: 'h',
    item: 'i',
    setting: 's',
    strategy: 'free',
    counted: 'held',
    orientation: { tilt_deg: tilt, azimuth_deg: 0, roll_deg: 0 },
    recordings: [{ sha256: `${root}`, name: 'r', size: 1, type: replayType }],
    ...more,
  }) as Trial

test('beside a trial come the same item by another strategy first, the nearest before the far', () => {
  const to = trial(1, 0)
  const list = neighbours(
    [
      to,
      trial(2, 5),
      trial(3, 40, { strategy: 'scoop' }),
      trial(4, 10, { strategy: 'scoop' }),
      trial(5, 0, { item: 'j', strategy: 'scoop' }),
      trial(6, 0, { recordings: [] }),
    ],
    to,
  )
  expect(list.map((n) => n.trial.root)).toEqual([4, 3, 2, 5])
  expect(list[0]).toMatchObject({ angleDeg: expect.closeTo(10, 6), differs: ['strategy'] })
})

test('a photo is no replay', () => {
  expect(
    replayOf(trial(1, 0, { recordings: [{ sha256: 'a', name: 'a.png', size: 1, type: 'image/png' }] })),
  ).toBe(undefined)
})
