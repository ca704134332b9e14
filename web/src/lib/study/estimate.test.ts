import { expect, test } from 'vitest'
import { blankStudy } from './blank'
import { byDirection, estimate, largestTilt } from './estimate'

const study = () => ({ ...blankStudy(), hands: ['h'], items: ['i', 'k'], settings: ['s'] })

test('counts plots, blocks, reference trials and hours', () => {
  // 2 items × 2 replicates = 4 whole plots of 48 runs; 40 a block makes 2 blocks each, 8 in all, 2 references each.
  expect(estimate({ ...study(), trial_s: 36, change_s: 600 }, 48)).toEqual({
    combinations: 2,
    trials: 4 * 48 + 16,
    references: 16,
    blocks: 8,
    hours: (208 * 36 + 3 * 600) / 3600,
  })
})

test('says nothing while something is missing or unreadable', () => {
  expect(estimate({ ...study(), hands: [] }, 48)).toBeNull()
  expect(estimate({ ...study(), replicates: NaN }, 48)).toBeNull()
  expect(estimate({ ...study(), block_size: 0 }, 48)).toBeNull()
  expect(estimate({ ...study(), trial_s: null as unknown as number }, 48)).toBeNull()
})

test('orientations of one direction are gathered; straight down has no azimuth', () => {
  const groups = byDirection([
    { tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 },
    { tilt_deg: 0, azimuth_deg: 90, roll_deg: 0 },
    { tilt_deg: 20, azimuth_deg: -90, roll_deg: 0 },
    { tilt_deg: 20, azimuth_deg: 270, roll_deg: 45 },
    { tilt_deg: 20, azimuth_deg: 359.999, roll_deg: 0 },
    { tilt_deg: 20, azimuth_deg: 0, roll_deg: 0 },
  ])
  expect(groups.map((g) => g.headingsDeg.length)).toEqual([2, 2, 2])
})

test('the disc reaches to the largest tilt asked for', () => {
  expect(largestTilt({ kind: 'even', tilt_max_deg: 45 })).toBe(45)
  expect(largestTilt({ kind: 'rings', tilts_deg: [0, 20, 60, NaN] })).toBe(60)
  expect(largestTilt({ kind: 'rings', tilts_deg: [0] })).toBe(10)
})
