import { expect, prepare, seriousFaults, test } from './server'

// The 3-D picture needs WebGL; Chromium's own software renderer does where there is no graphics card.
test.use({
  launchOptions: {
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: [
      '--no-sandbox',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
      '--ignore-gpu-blocklist',
    ],
  },
})

interface Trial {
  id: number
  root: number
  outcome: string
  counted: string
  void_reason?: string
  entries: number
  peak_force_N?: number
  note?: string
}

const trials = async (bench: { call<T>(m: string, p: string): Promise<T> }, study: string) =>
  (await bench.call<{ trials: Trial[] }>('GET', `/studies/${study}/trials`)).trials

test('twenty trials by keyboard only, and one undone', async ({ page, bench }) => {
  test.setTimeout(120_000)
  const study = await prepare(bench, 'Keys')
  await page.goto(`/studies/${study}/run`)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 1')
  const keys = [
    '1',
    '1',
    '3',
    '1',
    '2',
    '1',
    '4',
    '1',
    '5',
    '1',
    '6',
    '1',
    '7',
    '1',
    '1',
    '1',
    '3',
    '1',
    '1',
    '1',
  ]
  const words: Record<string, string> = {
    1: 'held',
    2: 'dropped',
    3: 'slipped',
    4: 'missed',
    5: 'pushed',
    6: 'damaged',
    7: 'stopped',
  }
  for (const [i, key] of keys.entries()) {
    await expect(page.getByRole('heading', { level: 1 })).toContainText(`Run ${i + 1} `)
    await page.waitForTimeout(320) // the page takes a second press at once for a bounce
    await page.keyboard.press(key)
    await expect(page.getByRole('region', { name: 'Last trial' })).toContainText(
      new RegExp(`Trial \\d+ ${words[key]}`),
    )
  }
  await expect(page.getByRole('region', { name: 'Progress' })).toContainText('20 of')
  await expect(page.locator('[aria-live=polite]').filter({ hasText: 'Next: run 21' })).toHaveCount(1)

  // Undo: the last one had slipped.
  await page.keyboard.press('u')
  await expect(page.getByRole('dialog')).toContainText(/What was trial \d+ really\?/)
  await page.keyboard.press('3')
  await expect(page.getByRole('region', { name: 'Last trial' })).toContainText(/Trial \d+ slipped/)

  const list = await trials(bench, study)
  expect(list).toHaveLength(20)
  expect(list.map((t) => t.counted)).toEqual([...keys.slice(0, 19).map((k) => words[k]), 'slipped'])
  expect(list[19]!.entries).toBe(2)
  // The run in hand stays: a correction carries out no other run.
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 21 ')
})

test('void asks for a reason, by keyboard', async ({ page, bench }) => {
  const study = await prepare(bench, 'Void')
  await page.goto(`/studies/${study}/run`)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 1')
  await page.waitForTimeout(320)
  await page.keyboard.press('8')
  await expect(page.getByRole('dialog')).toContainText('Why does this trial not count?')
  await page.getByLabel('Another reason').fill('the bun was stale')
  await page.keyboard.press('Enter')
  await expect(page.getByRole('region', { name: 'Last trial' })).toContainText('void')
  const list = await trials(bench, study)
  expect(list[0]).toMatchObject({ outcome: 'void', void_reason: 'the bun was stale' })
})

test('details come after and never hold up the next trial', async ({ page, bench }) => {
  const study = await prepare(bench, 'Details')
  await page.goto(`/studies/${study}/run`)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 1')
  await page.waitForTimeout(320)
  await page.keyboard.press('1')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 2')
  await page.keyboard.press('d')
  await page.getByLabel('Peak force').fill('6.5')
  // A digit typed into a field is a digit, not an outcome.
  await page.getByLabel('Note').fill('crust 1 of 2 cracked')
  await page.getByLabel('Add a photo or recording').setInputFiles({
    name: 'bun.png',
    mimeType: 'image/png',
    buffer: Buffer.from(
      'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
      'base64',
    ),
  })
  await expect(page.getByText('bun.png')).toBeVisible()
  await expect(page.getByLabel('Peak force')).toHaveValue('6.5')
  await page.getByRole('button', { name: 'Save details' }).click()
  await expect.poll(async () => (await trials(bench, study))[0]?.entries).toBe(2)
  const list = await trials(bench, study)
  expect(list).toHaveLength(1)
  expect(list[0]).toMatchObject({ outcome: 'held', peak_force_N: 6.5, note: 'crust 1 of 2 cracked' })
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 2')
})

test('nothing is lost when the network is away, even over a reload', async ({ page, bench }) => {
  const study = await prepare(bench, 'Offline')
  // The answer gets lost on the way back: the server has the trial, the page does not know. The way is laid before the page
  // opens: a browser that starts to listen in later may let a request pass meanwhile.
  let away = true
  await page.route('**/trials', async (route) => {
    if (!away || route.request().method() !== 'POST') return route.continue()
    await route.fetch()
    await route.abort('connectionreset')
  })
  await page.goto(`/studies/${study}/run`)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 1')
  await page.waitForTimeout(320)
  await page.getByRole('button', { name: /^Held/ }).click()
  await expect(page.getByText('Not saved yet', { exact: true })).toBeVisible()
  await page.reload()
  await expect(page.getByText('Not saved yet', { exact: true })).toBeVisible()
  away = false
  await expect(page.getByRole('region', { name: 'Last trial' })).toContainText(/Trial \d+ held/)
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Run 2')
  expect(await trials(bench, study)).toHaveLength(1)
})

test('the picture turns by keys and rests otherwise; the page has no serious accessibility fault', async ({
  page,
  bench,
}) => {
  const study = await prepare(bench, 'Picture')
  await page.goto(`/studies/${study}/run`)
  const picture = page.getByRole('application', { name: 'Hand, item and approach' })
  await expect(picture).toBeVisible()
  await picture.focus()
  await page.keyboard.press('ArrowRight')
  await page.getByRole('button', { name: 'Reset view' }).click()
  await expect(page.getByRole('button', { name: 'Reset view' })).toHaveCount(0)
  await expect(picture).toHaveAccessibleDescription(/Palm (tilted|straight down)/)
  expect(await seriousFaults(page)).toEqual([])
})

test('without WebGL a drawing and words stand in', async ({ page, bench }) => {
  const study = await prepare(bench, 'Flat')
  await page.addInitScript(() => {
    const get = HTMLCanvasElement.prototype.getContext
    HTMLCanvasElement.prototype.getContext = function (
      this: HTMLCanvasElement,
      kind: string,
      ...rest: unknown[]
    ) {
      return kind.startsWith('webgl') ? null : Reflect.apply(get, this, [kind, ...rest])
    } as typeof get
  })
  await page.goto(`/studies/${study}/run`)
  await expect(page.getByRole('img', { name: /Palm/ })).toBeVisible()
})
