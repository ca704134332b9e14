import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('describe a hand, mend a fault at its field, and meet a colleague’s edit', async ({ page, bench }) => {
  await page.goto('/hands?new')
  await page.getByLabel('Name', { exact: true }).fill('Bellows for trying')
  await page.getByLabel('Finger length, palm to tip').fill('2')
  await page.getByRole('button', { name: 'Add this hand' }).click()
  await expect(page.getByText('must be between 5 and 500 mm').first()).toBeVisible()
  await page.getByLabel('Finger length, palm to tip').fill('82')
  await page.getByRole('button', { name: 'Add this hand' }).click()
  await expect(page).toHaveURL(/bellows-for-trying/)
  expect(await bench.call('GET', '/hands/bellows-for-trying')).toMatchObject({
    finger_length_mm: 82,
    revision: 1,
  })

  // Somebody else edits the same hand while it is open here with an edit of our own.
  await page.getByLabel('Palm diameter').fill('66')
  const theirs = await bench.call<Record<string, unknown>>('GET', '/hands/bellows-for-trying')
  for (const readOnly of ['revision', 'created', 'updated', 'invented', 'id']) delete theirs[readOnly]
  const put = await fetch(`${bench.url}/api/v1/hands/bellows-for-trying`, {
    method: 'PUT',
    headers: { 'Content-Type': 'application/json', 'If-Match': '"1"' },
    body: JSON.stringify({ ...theirs, palm_diameter_mm: 70 }),
  })
  expect(put.status).toBe(200)
  await page.getByRole('button', { name: 'Save' }).click()
  const dialog = page.getByRole('dialog')
  await expect(dialog).toContainText('66')
  await expect(dialog).toContainText('70')
})

test('ask a question, see its orientations, draw up the plan', async ({ page, bench }) => {
  await prepare(bench, 'Shelf')
  await page.goto('/studies?new')
  await page.getByLabel('Name of the study').fill('Buns from the shelf')
  await page.getByLabel('What do you want to know?').fill('Does the tray help?')
  for (const name of ['Bellows Shelf', 'Bun Shelf', 'Tray Shelf']) await page.getByLabel(name).first().check()
  await page.getByLabel('Largest tilt').fill('40')
  await expect(page.getByText('Covering radius').first()).toBeVisible({ timeout: 30_000 })
  expect(await seriousFaults(page)).toEqual([])
  await page.getByRole('button', { name: 'Save as a draft' }).click()
  await expect(page).toHaveURL(/\/studies\/buns-from-the-shelf/)
  await page.getByRole('button', { name: 'Draw up the plan' }).click()
  await expect(page.getByRole('link', { name: 'Run sheet, PDF' })).toBeVisible({ timeout: 30_000 })
  const plan = await bench.call<{ runs: unknown[]; summary: { seed: string; runs: number } }>(
    'GET',
    '/studies/buns-from-the-shelf/plan',
  )
  expect(plan.runs.length).toBe(plan.summary.runs)
  await expect(page.getByText(plan.summary.seed).first()).toBeVisible()
  const sheet = await fetch(`${bench.url}/api/v1/studies/buns-from-the-shelf/runsheet.pdf`)
  expect((await sheet.text()).slice(0, 5)).toBe('%PDF-')
  expect(await seriousFaults(page)).toEqual([])
})

test('the record keeps every entry: a correction, an inspection, a trial set aside', async ({
  page,
  bench,
}) => {
  const study = await prepare(bench, 'Ledger', 1)
  await carryOut(bench, study, 12)
  const { trials } = await bench.call<{ trials: { root: number; outcome: string }[] }>(
    'GET',
    `/studies/${study}/trials`,
  )
  const held = trials.find((t) => t.outcome === 'held')!
  await page.goto(`/studies/${study}/record`)
  expect(await seriousFaults(page)).toEqual([])

  await page.getByRole('link', { name: `T${held.root}`, exact: true }).click()
  await page.getByRole('button', { name: 'Correct it' }).click()
  await page.getByLabel('Outcome').last().selectOption('slipped')
  await page.getByRole('button', { name: 'Store the correction' }).click()
  await expect
    .poll(
      async () =>
        (await bench.call<{ counted: string }>('GET', `/studies/${study}/trials/${held.root}`)).counted,
    )
    .toBe('slipped')

  await page.getByRole('button', { name: 'Add an inspection' }).click()
  await page.getByRole('button', { name: 'damaged', exact: true }).click()
  await page.getByRole('button', { name: 'Store the inspection' }).click()
  await expect
    .poll(
      async () =>
        (await bench.call<{ counted: string }>('GET', `/studies/${study}/trials/${held.root}`)).counted,
    )
    .toBe('damaged')

  await page.getByRole('button', { name: 'It does not count' }).click()
  await page.getByRole('button', { name: 'Store: does not count' }).click()
  await expect(page.getByRole('dialog')).toContainText('reason')
  await page.getByLabel('Why', { exact: true }).fill('wrong item on the table')
  await page.getByRole('button', { name: 'Store: does not count' }).click()
  await expect
    .poll(
      async () =>
        (await bench.call<{ counted: string }>('GET', `/studies/${study}/trials/${held.root}`)).counted,
    )
    .toBe('void')
  const history = await bench.call<{ entries: { outcome: string }[]; inspections: unknown[] }>(
    'GET',
    `/studies/${study}/trials/${held.root}`,
  )
  expect(history.entries.map((e) => e.outcome)).toEqual(['held', 'slipped', 'void'])
  expect(history.inspections.length).toBe(1)
  expect(await seriousFaults(page)).toEqual([])
})

test('no page has a serious accessibility fault, and every page says its name', async ({ page, bench }) => {
  await prepare(bench, 'Tour', 1)
  for (const [address, heading] of [
    ['/', /./],
    ['/hands', /Hands/],
    ['/items', /Items/],
    ['/settings', /Settings/],
    ['/studies', /Studies/],
    ['/studies/tour', /Tour/],
    ['/cards', /Cards|cards/],
    ['/help', /./],
  ] as const) {
    await page.goto(address)
    await expect(page.getByRole('heading', { level: 1 })).toHaveText(heading)
    await page.waitForLoadState('networkidle').catch(() => {})
    expect(await seriousFaults(page), address).toEqual([])
  }
})
