import type { Component } from 'svelte'
import { match, type Params } from '$lib/router.svelte'

/** What every page component gets. */
export interface PageProps {
  params: Params
  query: URLSearchParams
}

export interface Route {
  pattern: string
  /** Words for the browser's title and for the announcement on arrival. */
  title: string
  /** The entry of the main navigation that the page belongs to. */
  section: 'lab' | 'hands' | 'items' | 'settings' | 'studies' | 'handset' | 'cards' | 'help'
  /** The step of an opened study, where the page is one. */
  step?: 'plan' | 'run' | 'record' | 'map' | 'choose' | 'prove'
  /** The closer look at an opened study, where the page is one. */
  look?: string
  /** A page may leave its props alone. */
  load: () => Promise<{ default: Component<PageProps> | Component<Record<string, never>> }>
}

export const routes: Route[] = [
  { pattern: '/', title: 'Lab', section: 'lab', load: () => import('./lab/Page.svelte') },
  { pattern: '/hands', title: 'Hands', section: 'hands', load: () => import('./hands/Page.svelte') },
  {
    pattern: '/hands/:hand/closing',
    title: 'How a hand closes',
    section: 'hands',
    load: () => import('./hands/closing/Page.svelte'),
  },
  {
    pattern: '/hands/:hand/numbers',
    title: 'The hand’s own numbers',
    section: 'hands',
    load: () => import('./hands/numbers/Page.svelte'),
  },
  {
    pattern: '/hands/sheet',
    title: 'Hand sheet',
    section: 'hands',
    load: () => import('./hands/sheet/Page.svelte'),
  },
  {
    pattern: '/hands/:hand/pads',
    title: 'What pads felt',
    section: 'hands',
    load: () => import('./hands/pads/Page.svelte'),
  },
  {
    pattern: '/hands/:hand/shape',
    title: 'A finger’s shape',
    section: 'hands',
    load: () => import('./hands/shape/Page.svelte'),
  },
  {
    pattern: '/hands/:hand/touch',
    title: 'Touch by sound',
    section: 'hands',
    load: () => import('./hands/touch/Page.svelte'),
  },
  {
    pattern: '/hands/:hand/feel',
    title: 'What a first touch tells',
    section: 'hands',
    load: () => import('./hands/feel/Page.svelte'),
  },
  { pattern: '/items', title: 'Items', section: 'items', load: () => import('./items/Page.svelte') },
  {
    pattern: '/settings',
    title: 'Settings',
    section: 'settings',
    load: () => import('./settings/Page.svelte'),
  },
  { pattern: '/studies', title: 'Studies', section: 'studies', load: () => import('./studies/Page.svelte') },
  {
    pattern: '/studies/:study',
    title: 'Plan',
    section: 'studies',
    step: 'plan',
    load: () => import('./study/Page.svelte'),
  },
  {
    pattern: '/studies/:study/run',
    title: 'Run',
    section: 'studies',
    step: 'run',
    load: () => import('./run/Page.svelte'),
  },
  {
    pattern: '/studies/:study/record',
    title: 'Record',
    section: 'studies',
    step: 'record',
    load: () => import('./record/Page.svelte'),
  },
  {
    pattern: '/studies/:study/map',
    title: 'Map',
    section: 'studies',
    step: 'map',
    load: () => import('./map/Page.svelte'),
  },
  {
    pattern: '/studies/:study/choose',
    title: 'Choose',
    section: 'studies',
    step: 'choose',
    load: () => import('./choose/Page.svelte'),
  },
  {
    pattern: '/studies/:study/next',
    title: 'Next trials',
    section: 'studies',
    look: 'next',
    load: () => import('./next/Page.svelte'),
  },
  {
    pattern: '/studies/:study/factors',
    title: 'Factors',
    section: 'studies',
    look: 'factors',
    load: () => import('./factors/Page.svelte'),
  },
  {
    pattern: '/studies/:study/tolerance',
    title: 'Tolerance',
    section: 'studies',
    look: 'tolerance',
    load: () => import('./tolerance/Page.svelte'),
  },
  {
    pattern: '/studies/:study/families',
    title: 'Families',
    section: 'studies',
    look: 'families',
    load: () => import('./families/Page.svelte'),
  },
  {
    pattern: '/studies/:study/compare',
    title: 'Compare',
    section: 'studies',
    look: 'compare',
    load: () => import('./compare/Page.svelte'),
  },
  {
    pattern: '/studies/:study/judges',
    title: 'Judges',
    section: 'studies',
    look: 'judges',
    load: () => import('./judges/Page.svelte'),
  },
  {
    pattern: '/studies/:study/value',
    title: 'Value',
    section: 'studies',
    look: 'value',
    load: () => import('./value/Page.svelte'),
  },
  {
    pattern: '/studies/:study/model',
    title: 'Model and bench',
    section: 'studies',
    look: 'model',
    load: () => import('./model/Page.svelte'),
  },
  {
    pattern: '/studies/:study/replay',
    title: 'Replay',
    section: 'studies',
    look: 'replay',
    load: () => import('./replay/Page.svelte'),
  },
  { pattern: '/handset', title: 'Hand set', section: 'handset', load: () => import('./handset/Page.svelte') },
  {
    pattern: '/studies/:study/prove',
    title: 'Prove',
    section: 'studies',
    step: 'prove',
    load: () => import('./prove/Page.svelte'),
  },
  { pattern: '/cards', title: 'Cards', section: 'cards', load: () => import('./cards/Page.svelte') },
  {
    pattern: '/cards/:card',
    title: 'Card',
    section: 'cards',
    load: () => import('./cards/card/Page.svelte'),
  },
  { pattern: '/help', title: 'Help', section: 'help', load: () => import('./help/Page.svelte') },
]

/** Finds the route of a path; null when there is none. */
export function find(path: string): { route: Route; params: Params } | null {
  for (const route of routes) {
    const params = match(route.pattern, path)
    if (params) return { route, params }
  }
  return null
}
