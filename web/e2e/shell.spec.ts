import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('the keyboard reaches the content first, then everything in order', async ({ page, bench }) => {
  await prepare(bench, 'Tabbing', 1)
  await page.goto('/')
  await expect(page.getByRole('heading', { level: 1 })).toBeVisible()
  await page.keyboard.press('Tab')
  await expect(page.getByRole('link', { name: 'Skip to the content' })).toBeFocused()
  await page.keyboard.press('Enter')
  await expect(page.locator('main')).toBeFocused()
  await page.keyboard.press('Tab')
  // The first thing behind the skip link is the one thing worth doing next.
  await expect(page.locator('section.next a')).toBeFocused()
  await page.keyboard.press('Enter')
  const { next } = await bench.call<{ next: { study: string }[] }>('GET', '/lab')
  await expect(page).toHaveURL(new RegExp(`/studies/${next[0]!.study}/`))
})

test('arriving somewhere is said aloud, titled, and starts at the content', async ({ page }) => {
  await page.goto('/')
  await page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Items' }).click()
  await expect(page).toHaveTitle(/^Items · /)
  await expect(page.locator('main')).toBeFocused()
  await expect(page.locator('[aria-live="polite"]', { hasText: 'Items' })).toHaveCount(1)
  await page.goBack()
  await expect(page).toHaveTitle(/^Lab · /)
  await page.goto('/feet')
  await expect(page.getByRole('heading', { level: 1 })).toHaveText('There is nothing at this address')
  expect(await seriousFaults(page)).toEqual([])
})

test('what somebody else adds appears without loading anew', async ({ page, bench }) => {
  await prepare(bench, 'Before', 1)
  await page.goto('/hands')
  await expect(page.getByText('live', { exact: true })).toBeVisible()
  await expect(page.getByRole('link', { name: /Bellows Before/ })).toBeVisible()
  await expect(page.getByText('Bellows Later')).toHaveCount(0)
  await prepare(bench, 'Later', 1)
  await expect(page.getByRole('link', { name: /Bellows Later/ })).toBeVisible()
})

test('a newcomer is at the map after two clicks', async ({ page, bench }) => {
  const study = await prepare(bench, 'Newcomer', 1)
  await carryOut(bench, study, 40)
  await page.goto('/')
  const row = page.getByRole('listitem').filter({ hasText: 'Newcomer' })
  await row.getByRole('link', { name: 'Map', exact: true }).click()
  await expect(page).toHaveURL(new RegExp(`/studies/${study}/map`))
})

test('a colleague’s edit and one’s own are merged field by field', async ({ page, bench }) => {
  await prepare(bench, 'Merge', 1)
  await page.goto('/hands?open=bellows-merge')
  await page.getByLabel('Palm diameter').fill('66')
  const theirs = await bench.call<Record<string, unknown>>('GET', '/hands/bellows-merge')
  const put = await fetch(`${bench.url}/api/v1/hands/bellows-merge`, {
    method: 'PUT',
    headers: { 'Content-Type': 'application/json', 'If-Match': `"${theirs.revision}"` },
    body: JSON.stringify({ ...theirs, palm_diameter_mm: 70, force_max_N: 12 }),
  })
  expect(put.status).toBe(200)
  await page.getByRole('button', { name: 'Save' }).click()
  const dialog = page.getByRole('dialog', { name: 'Somebody changed it meanwhile' })
  await expect(dialog.getByRole('row', { name: /palm diameter mm/ })).toContainText('both changed it')
  // What only they changed is taken over unless one asks otherwise.
  await expect(
    dialog
      .getByRole('row', { name: /force max N/ })
      .getByRole('radio')
      .last(),
  ).toBeChecked()
  expect(await seriousFaults(page)).toEqual([])
  await dialog.getByRole('button', { name: 'Save what is chosen' }).click()
  await expect
    .poll(() => bench.call('GET', '/hands/bellows-merge'))
    .toMatchObject({ palm_diameter_mm: 66, force_max_N: 12 })
})

test('unsaved edits are not lost without asking', async ({ page, bench }) => {
  await prepare(bench, 'Kept', 1)
  await page.goto('/items?open=bun-kept')
  await page.getByLabel('Name', { exact: true }).fill('Bun renamed')
  page.once('dialog', (question) => question.dismiss())
  await page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Hands' }).click()
  await expect(page).toHaveURL(/\/items\?open=bun-kept/)
  await expect(page.getByLabel('Name', { exact: true })).toHaveValue('Bun renamed')
  page.once('dialog', (question) => question.accept())
  await page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Hands' }).click()
  await expect(page).toHaveURL(/\/hands$/)
})

test('a file is tried, its faults are named by row and column, and only a sound one is stored', async ({
  page,
  bench,
}) => {
  const study = await prepare(bench, 'Files', 1)
  await page.goto(`/studies/${study}/record`)
  await page.getByRole('button', { name: 'Import a file…' }).click()
  const file = (text: string) => ({ name: 'trials.csv', mimeType: 'text/csv', buffer: Buffer.from(text) })
  const chooser = page.getByLabel('The file', { exact: true })
  const head = 'tilt_deg,azimuth_deg,roll_deg,strategy,outcome\n'

  await chooser.setInputFiles(file(head + '0,0,0,free,held\n10,0,x,free,hled\n'))
  await page.getByRole('button', { name: 'Try it, store nothing' }).click()
  const faults = page.getByRole('table', { name: 'What is wrong in the file' })
  await expect(faults.getByRole('row', { name: /outcome/ })).toContainText('hled')
  await expect(faults.getByRole('row', { name: /roll_deg/ })).toContainText('x')
  expect(await seriousFaults(page)).toEqual([])

  await chooser.setInputFiles(file(head + '0,0,0,free,held\n10,0,0,free,slipped\n'))
  await page.getByRole('button', { name: 'Try it, store nothing' }).click()
  await expect(page.getByText('would store 2 trials')).toBeVisible()
  expect(await bench.call('GET', `/studies/${study}/trials`)).toMatchObject({ total: 0 })
  await page.getByRole('button', { name: 'Import', exact: true }).click()
  await expect(page.getByText(/stored\s+2 trials/)).toBeVisible()
  await page.getByRole('button', { name: 'Close', exact: true }).click()
  await expect(page.getByRole('table', { name: 'Trials, newest first' }).getByRole('row')).toHaveCount(3)
})

test('every step and every look of a study is reached by its links, from page to page', async ({
  page,
  bench,
}) => {
  test.setTimeout(180_000)
  const study = await prepare(bench, 'Walked')
  await carryOut(bench, study, 30)
  await page.goto('/')
  await page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Studies' }).click()
  await page.locator(`a[href="/studies/${study}"]`).first().click()
  const ways = ['run', 'record', 'map', 'choose', 'prove', 'next', 'factors', 'tolerance']
  for (const way of [...ways, 'families', 'compare', 'judges', 'value']) {
    await page.locator(`a[href="/studies/${study}/${way}"]`).first().click()
    await expect(page).toHaveURL(new RegExp(`/${study}/${way}`))
    await expect(page.locator('main h1').first()).toBeVisible({ timeout: 30_000 })
  }
  await page.getByRole('navigation', { name: 'Main' }).getByRole('link', { name: 'Hand set' }).click()
  await expect(page.locator('main h1')).toHaveText('Hand set')
  await page.goBack()
  await expect(page).toHaveURL(/value/)
})
