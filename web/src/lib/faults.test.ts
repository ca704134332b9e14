import { expect, test } from 'vitest'
import { faultText } from './faults'

const faults = [
  { field: 'name', message: 'must not be empty', value: '' },
  { field: 'closing_levels[1]', message: 'must be between 0 and 1', value: '1.4' },
  { field: 'closing_levels[2]', message: 'must be between 0 and 1', value: '1.4' },
  { field: 'namesake', message: 'odd', value: '' },
]

test('a fault belongs to its field, those of elements to their list', () => {
  expect(faultText(faults, 'name')).toBe('must not be empty')
  expect(faultText(faults, 'closing_levels')).toBe('must be between 0 and 1 (got 1.4)')
  expect(faultText(faults, 'note')).toBe('')
})
