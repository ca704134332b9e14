import { expect, test } from 'vitest'
import { alike, differences, merged } from './merge'

const base = { name: 'Roll', mass_g: 60, turning: { axial: true, fold: 1 }, note: '' }

test('says who changed what', () => {
  const mine = { ...base, mass_g: 62, name: 'Oat roll' }
  const theirs = { ...base, mass_g: 65, turning: { axial: false, fold: 2 } }
  expect(differences(base, mine, theirs).map((d) => [d.field, d.who])).toEqual([
    ['mass_g', 'both'],
    ['name', 'mine'],
    ['turning', 'theirs'],
  ])
})

test('the same change on both sides is no difference', () => {
  expect(differences(base, { ...base, mass_g: 62 }, { ...base, mass_g: 62 })).toEqual([])
})

test('order of keys, empty text and absence do not matter', () => {
  expect(alike({ a: 1, b: { c: 2, d: '' } }, { b: { c: 2 }, a: 1, e: undefined })).toBe(true)
  expect(alike({ a: [1, 2] }, { a: [2, 1] })).toBe(false)
})

test('takes each field from the side chosen and shares nothing with it', () => {
  const mine = { ...base, name: 'Mine' }
  const theirs = { ...base, name: 'Theirs', turning: { axial: false, fold: 3 } }
  const out = merged(mine, theirs, { name: 'mine', turning: 'theirs' })
  expect(out.name).toBe('Mine')
  expect(out.turning).toEqual({ axial: false, fold: 3 })
  theirs.turning.fold = 9
  expect(out.turning.fold).toBe(3)
})

test('a field that they removed can be removed', () => {
  const out = merged<{ a: number; note?: string }>({ a: 1, note: 'x' }, { a: 1 }, { note: 'theirs' })
  expect(out).toEqual({ a: 1 })
})
