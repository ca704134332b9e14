/** The steps of a study in the order of the work, and how far each is. */
import type { Card, Progress, Proof, Study } from '$lib/api'

export type StepName = 'plan' | 'run' | 'record' | 'map' | 'choose' | 'prove'

export interface StepState {
  name: StepName
  title: string
  href: string
  mark: 'ring' | 'half' | 'disc'
  text: string
}

/** Fewer counted trials than this make a map that hardly says anything. */
const fewTrials = 20

/** Says for each step of a study how far it is. Progress, cards and proof runs (newest first) may still be on their way. */
export function stepStates(
  id: string,
  study: Pick<Study, 'state'> | undefined,
  progress: Progress | undefined,
  cards: Pick<Card, 'study' | 'withdrawn'>[] | undefined,
  proofs?: Pick<Proof, 'verdict' | 'trials' | 'longest'>[],
): StepState[] {
  const base = '/studies/' + encodeURIComponent(id)
  const state = study?.state ?? 'draft'
  const planned = progress?.planned ?? 0
  const done = progress?.done ?? 0
  const trials = progress?.trials ?? 0
  const late = progress?.uninspected ?? 0
  const released = (cards ?? []).filter((c) => c.study === id && !c.withdrawn).length

  const step = (
    name: StepName,
    title: string,
    path: string,
    mark: StepState['mark'],
    text: string,
  ): StepState => ({
    name,
    title,
    href: base + path,
    mark,
    text,
  })
  const run = (): [StepState['mark'], string] => {
    if (planned === 0) return trials > 0 ? ['half', 'without a plan'] : ['ring', 'after the plan']
    if (done >= planned) return ['disc', 'all done']
    if (state === 'finished') return ['disc', 'closed']
    return done > 0 ? ['half', `${done} of ${planned}`] : ['ring', 'not begun']
  }
  const record = (): [StepState['mark'], string] => {
    if (trials === 0) return ['ring', 'empty']
    return late > 0 ? ['half', `${late} to inspect`] : ['disc', trials === 1 ? '1 trial' : `${trials} trials`]
  }
  const map = (): [StepState['mark'], string] => {
    if (trials === 0) return ['ring', 'needs trials']
    if (trials < fewTrials) return ['half', 'few trials']
    return planned > done && state !== 'finished' ? ['half', 'so far'] : ['disc', 'ready']
  }
  const prove = (): [StepState['mark'], string] => {
    const newest = proofs?.[0]
    if (!newest) return ['ring', 'open']
    if (newest.verdict === 'go on') return ['half', `${newest.trials} of ≤ ${newest.longest}`]
    return ['disc', newest.verdict]
  }
  return [
    step('plan', 'Plan', '', state === 'draft' ? 'ring' : 'disc', state === 'draft' ? 'draft' : 'drawn up'),
    step('run', 'Run', '/run', ...run()),
    step('record', 'Record', '/record', ...record()),
    step('map', 'Map', '/map', ...map()),
    step(
      'choose',
      'Choose',
      '/choose',
      released > 0 ? 'disc' : 'ring',
      released === 0 ? 'open' : released === 1 ? 'card released' : `${released} cards`,
    ),
    step('prove', 'Prove', '/prove', ...prove()),
  ]
}
