import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('from trials to a map: dial, views, cursor, table, trials', async ({ page, bench }) => {
  test.setTimeout(120_000)
  const study = await prepare(bench, 'Mapped')
  await carryOut(bench, study, 160)
  await page.goto(`/studies/${study}/map`)
  const disc = page.getByRole('application', { name: 'Success map over approach directions' })
  await expect(disc).toBeVisible({ timeout: 30_000 })

  // The picture is painted in more than one colour.
  const colours = await page.evaluate(() => {
    const canvas = document.querySelector<HTMLCanvasElement>('canvas.picture')!
    const data = canvas.getContext('2d')!.getImageData(0, 0, canvas.width, canvas.height).data
    const seen = new Set<number>()
    for (let i = 0; i < data.length; i += 4 * 97)
      if (data[i + 3] === 255) seen.add((data[i]! << 16) | (data[i + 1]! << 8) | data[i + 2]!)
    return seen.size
  })
  expect(colours).toBeGreaterThan(20)

  // The hand has three like fingers: the dial goes round after a third of a turn.
  const dial = page.getByRole('slider', { name: 'Hand heading seen from above' })
  await expect(dial).toHaveAttribute('aria-valuemax', '120')
  await dial.focus()
  await page.keyboard.press('ArrowLeft')
  await expect(dial).toHaveAttribute('aria-valuenow', '115')
  await expect(page).toHaveURL(/heading=115/)

  // Keys on the disc move a cursor that reads the map.
  await disc.focus()
  await page.keyboard.press('ArrowRight')
  await page.keyboard.press('ArrowRight')
  const readout = page.getByRole('region', { name: 'At the cursor' })
  await expect(readout).toContainText('towards azimuth 0°')
  await expect(readout).toContainText('%')
  await expect(readout.getByRole('link').first()).toHaveAttribute('href', /record\?trial=\d+/)
  await page.keyboard.press('Enter')
  await expect(page.getByRole('dialog')).toContainText('Trials near')
  await expect(page.getByRole('dialog').getByRole('link').first()).toHaveText(/Trial \d+/)
  await page.keyboard.press('Escape')

  // Hatching follows the threshold: at 0 all of the disc, at 100 none.
  const hatch = page.getByRole('slider', { name: /interval wider/ })
  await hatch.fill('0')
  await expect(page.getByRole('region', { name: 'Legend' })).toContainText('100 % of the disc')
  await hatch.fill('100')
  await expect(page.getByRole('region', { name: 'Legend' })).toContainText('0 % of the disc')

  await page.getByRole('radio', { name: 'Mean' }).check({ force: true })
  await expect(page).toHaveURL(/view=mean/)
  await expect(dial).toHaveAttribute('aria-disabled', 'true')
  await page.getByRole('radio', { name: 'Lower bound' }).check({ force: true })
  await expect(page).toHaveURL(/layer=low/)

  // The table holds the same: its first row, shown, moves the cursor.
  const table = page.getByRole('region', { name: /Counts and estimates/ })
  expect(await table.getByRole('row').count()).toBeGreaterThan(20)
  await table.getByRole('button', { name: 'Show' }).first().click()
  await expect(page.getByRole('radio', { name: 'One' })).toBeChecked()

  for (const kind of ['png', 'svg', 'csv', 'parquet']) {
    const href = await page.locator(`.export a[href*="map.${kind}"]`).getAttribute('href')
    const response = await page.request.get(href!)
    expect(response.status(), kind).toBe(200)
    expect((await response.body()).length, kind).toBeGreaterThan(200)
  }
  expect(await seriousFaults(page)).toEqual([])
})

test('what the map says is what the server says', async ({ page, bench }) => {
  test.setTimeout(120_000)
  const study = await prepare(bench, 'Agree')
  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}/map`)
  const disc = page.getByRole('application', { name: 'Success map over approach directions' })
  await expect(disc).toBeVisible({ timeout: 30_000 })
  await disc.focus()
  const asked = page.waitForResponse((r) => r.url().includes('/map/at'))
  await page.keyboard.press('Home')
  const point = (await (await asked).json()) as { p: number }
  const shown = page.getByRole('region', { name: 'At the cursor' }).locator('dd b').first()
  await expect(shown).toHaveText(/\d\s%/)
  const text = await shown.innerText()
  const read = Number(/(\d+)(?:\.\d)?\s%/.exec(text)![1]) / 100
  expect(Math.abs(read - point.p)).toBeLessThan(0.02)
})

test('few trials: words instead of confidence, and a fit that is stopped', async ({ page, bench }) => {
  test.setTimeout(120_000)
  const study = await prepare(bench, 'Few')
  await page.goto(`/studies/${study}/map`)
  await expect(page.getByText('There is nothing to map yet')).toBeVisible()
  await carryOut(bench, study, 6)
  await page.reload()
  await expect(page.getByText('This picture is not to be trusted yet')).toBeVisible({ timeout: 30_000 })

  await page.route('**/map?*', () => new Promise(() => undefined)) // a fit that takes for ever
  await page.reload()
  await page.getByRole('button', { name: 'Stop' }).click()
  await expect(page.getByText('The fit was stopped.')).toBeVisible()
  await page.unroute('**/map?*')
  await page.getByRole('button', { name: 'Fit now' }).click()
  await expect(page.getByRole('application', { name: 'Success map over approach directions' })).toBeVisible({
    timeout: 30_000,
  })
})
