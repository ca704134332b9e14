import { expect, test } from 'vitest'
import { magnitude, plainName, unitOf } from './words'

test('the unit is taken out of a name', () => {
  expect([plainName('position-error-mm'), unitOf('position-error-mm')]).toEqual(['Position error', 'mm'])
  expect([plainName('skin-stiffness-N-per-mm'), unitOf('skin-stiffness-N-per-mm')]).toEqual([
    'Skin stiffness',
    'N/mm',
  ])
  expect([plainName('friction'), unitOf('friction')]).toEqual(['Friction', ''])
})

test('trials saved are told to one digit', () => {
  expect([0.4, 3.2, 47, 153, 2600].map((n) => magnitude(n, 1000))).toEqual([
    'none',
    'about 3',
    'about 50',
    'about 200',
    'about 3,000',
  ])
  expect(magnitude(20000, 48)).toBe('more than 480')
})
