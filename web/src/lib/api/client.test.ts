import { afterEach, expect, test, vi } from 'vitest'
import { ApiError, address, send } from './client'
import contract from './openapi.json'
import * as api from './index'

afterEach(() => vi.unstubAllGlobals())

function answer(status: number, body: string, type = 'application/problem+json') {
  vi.stubGlobal(
    'fetch',
    vi.fn(async () => new Response(body, { status, headers: { 'Content-Type': type } })),
  )
}

test('empty parts of a query are left out, others are written safely', () => {
  expect(address('/x', { a: '', b: null, c: undefined, d: 0, e: false, f: 'é &' })).toBe(
    '/api/v1/x?d=0&e=false&f=%C3%A9+%26',
  )
})

test('a problem becomes an error with faults by field', async () => {
  answer(
    422,
    JSON.stringify({
      title: 'Unprocessable Entity',
      detail: 'Mend the fields named.',
      kind: 'invalid',
      errors: [
        { location: 'body.fingers', message: 'must be between 1 and 8', value: '99' },
        { message: 'odd' },
      ],
    }),
  )
  const error = await send('PUT', '/hands/a').catch((e: unknown) => e)
  expect(error).toBeInstanceOf(ApiError)
  expect(error).toMatchObject({
    status: 422,
    kind: 'invalid',
    message: 'Mend the fields named.',
    stale: false,
    faults: [
      { field: 'fingers', message: 'must be between 1 and 8', value: '99' },
      { field: '', message: 'odd', value: '' },
    ],
  })
})

test('what is not a problem document still makes a sentence', async () => {
  answer(502, '<html>', 'text/html')
  await expect(send('GET', '/lab')).rejects.toThrow(/502/)
})

test('a silent server is told apart from a refusal', async () => {
  vi.stubGlobal('fetch', async () => {
    throw new TypeError('failed')
  })
  await expect(send('GET', '/lab')).rejects.toMatchObject({ kind: 'offline', status: 0 })
})

test('an edit names the revision that it edits', async () => {
  answer(412, JSON.stringify({ detail: 'Somebody was faster.', kind: 'stale' }))
  await expect(api.hands.replace('a', {} as never, '"3"')).rejects.toMatchObject({ stale: true })
  const [, init] = vi.mocked(fetch).mock.calls[0]!
  expect((init!.headers as Record<string, string>)['If-Match']).toBe('"3"')
})

/** Every call of the client against the contract: the address exists with that method, and so do its parameters. */
test('the contract knows every address that the client asks for', async () => {
  const asked: { method: string; url: URL }[] = []
  vi.stubGlobal('fetch', async (url: string, init: RequestInit) => {
    asked.push({ method: init.method!.toLowerCase(), url: new URL(url, 'http://x') })
    return new Response('{}', { status: 200 })
  })
  const file = new File(['a'], 'a.csv')
  const map = { hand: 'h', item: 'i', setting: 's', strategy: 'free', blur_deg: 3 }
  const condition = { hand: 'h', item: 'i', setting: 's', strategy: 'free' }
  const q = { qw: 1, qx: 0, qy: 0, qz: 0 }
  const none = {} as never
  for (const c of [api.hands, api.items, api.settings, api.studies]) {
    await c.list()
    await c.get('a')
    await c.create(none)
    await c.replace('a', none, '"1"')
  }
  await Promise.all([
    api.getLab(),
    api.listStudies(),
    api.drawUpPlan('a'),
    api.getPlan('a'),
    api.finishStudy('a'),
    api.reopenStudy('a'),
    api.previewOrientations(none),
    api.sampleSize(none),
    api.nextRun('a', 'me'),
    api.giveBack('a', 'me'),
    api.logTrial('a', none),
    api.listTrials('a', {
      ...map,
      blur_deg: undefined,
      block: 1,
      reference: true,
      after: 1,
      limit: 1,
      newest: true,
    }),
    api.trialHistory('a', 1),
    api.inspect('a', none),
    api.getProgress('a'),
    api.importTrials('a', file, true),
    api.storeRecording(file),
    api.listConditions('a'),
    api.getMap('a', map),
    api.getMapRaster('a', map),
    api.getMapMarks('a', map),
    api.getMapAt('a', { ...map, ...q }),
    api.getChoice('a', { hand: 'h', item: 'i', setting: 's', min_radius_deg: 1 }),
    api.getTolerance('a', {
      hand: 'h',
      item: 'i',
      setting: 's',
      strategy: 'free',
      target: 0.9,
      position_mm: 3,
      angle_deg: 5,
    }),
    api.getModel('a', condition),
    api.startModelFit('a', condition, none),
    api.stopModelFit('a', condition),
    api.useModelFit('a', condition, true),
    api.getFactors('a', {}),
    api.getFamilies('a', { hand: 'h', setting: 's', strategy: 'free', item: 'i' }),
    api.getFamilyScores('a', { hand: 'h', setting: 's', strategy: 'free' }),
    api.listCards(),
    api.getCard('a'),
    api.releaseCard(none),
    api.withdrawCard('a', 'me', 'why'),
  ])
  const files = [
    api.planCSV('a'),
    api.runSheet('a'),
    api.trialsFile('a', 'csv'),
    api.trialsFile('a', 'parquet'),
    api.recordingFile('a'),
    ...(['csv', 'parquet', 'png', 'svg'] as const).map((kind) => api.mapFile('a', kind, map)),
    api.cardJSON('a'),
    api.cardPDF('a'),
  ]
  for (const href of files) asked.push({ method: 'get', url: new URL(href, 'http://x') })

  const paths = contract.paths as unknown as Record<
    string,
    Record<string, { parameters?: { name: string; in: string }[] }>
  >
  const wrong = asked.flatMap(({ method, url }) => {
    const operation = Object.entries(paths).find(([template, methods]) => {
      const pattern = new RegExp('^' + template.replace(/[.]/g, '\\.').replace(/\{\w+\}/g, '[^/.]+') + '$')
      return methods[method] && pattern.test(url.pathname)
    })
    if (!operation) return [`${method} ${url.pathname} is not in the contract`]
    const known = (operation[1][method]!.parameters ?? []).filter((p) => p.in === 'query').map((p) => p.name)
    return [...url.searchParams.keys()]
      .filter((name) => !known.includes(name))
      .map((name) => `${method} ${operation[0]} knows no parameter ${name}`)
  })
  expect([...new Set(wrong)]).toEqual([])
})
