import { expect, test } from 'vitest'
import type { Progress } from '$lib/api'
import { stepStates } from './steps'

const progress = (p: Partial<Progress>) =>
  ({ planned: 0, done: 0, trials: 0, uninspected: 0, ...p }) as Progress
const texts = (...args: Parameters<typeof stepStates>) =>
  Object.fromEntries(stepStates(...args).map((s) => [s.name, `${s.mark} ${s.text}`]))

test('a draft waits for its plan', () => {
  expect(texts('a', { state: 'draft' }, progress({}), [])).toEqual({
    plan: 'ring draft',
    run: 'ring after the plan',
    record: 'ring empty',
    map: 'ring needs trials',
    choose: 'ring open',
    prove: 'ring open',
  })
})

test('a running study says how far it is', () => {
  expect(
    texts('a', { state: 'running' }, progress({ planned: 100, done: 40, trials: 36, uninspected: 3 }), []),
  ).toEqual({
    plan: 'disc drawn up',
    run: 'half 40 of 100',
    record: 'half 3 to inspect',
    map: 'half so far',
    choose: 'ring open',
    prove: 'ring open',
  })
})

test('a finished study with a card is done; a withdrawn card does not count', () => {
  const all = progress({ planned: 100, done: 90, trials: 80 })
  expect(texts('a', { state: 'finished' }, all, [{ study: 'a' }, { study: 'b' }])).toMatchObject({
    run: 'disc closed',
    map: 'disc ready',
    choose: 'disc card released',
  })
  expect(
    texts('a', { state: 'finished' }, all, [{ study: 'a', withdrawn: '2026-03-02T00:00:00Z' }]).choose,
  ).toBe('ring open')
})

test('imported trials need no plan', () => {
  expect(texts('a', { state: 'running' }, progress({ trials: 12 }), [])).toMatchObject({
    run: 'half without a plan',
    map: 'half few trials',
  })
})

test('the newest proof run says how it stands', () => {
  const prove = (...proofs: Parameters<typeof stepStates>[4] & object) =>
    stepStates('a', { state: 'running' }, progress({ trials: 80 }), [], proofs).at(-1)
  const run = (verdict: 'accepted' | 'rejected' | 'go on' | 'given up', trials: number) => ({
    verdict,
    trials,
    longest: 59,
  })
  expect(prove(run('go on', 12), run('rejected', 3))).toMatchObject({ mark: 'half', text: '12 of ≤ 59' })
  expect(prove(run('accepted', 59))).toMatchObject({
    mark: 'disc',
    text: 'accepted',
    href: '/studies/a/prove',
  })
  expect(prove(run('given up', 3))).toMatchObject({ mark: 'disc', text: 'given up' })
})
