import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('how large errors a pick stands: sentence, picture, figures, another target', async ({
  page,
  bench,
}) => {
  test.setTimeout(120_000)
  const study = await prepare(bench, 'Tolerated')
  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}/tolerance`)
  const picture = page.getByRole('img', { name: /Expected success for placement errors from 0/ })
  await expect(picture).toBeVisible({ timeout: 60_000 })
  await expect(page.getByText('Largest multiple of the line’s errors')).toBeVisible()

  await page.getByLabel('Target, %').fill('99')
  await page.getByLabel('Target, %').blur()
  await expect(page).toHaveURL(/target=0\.99/)
  await expect(page.getByRole('note').first()).toContainText('not surely the target of 0.99')
  await page.getByLabel('Orientation error, °').fill('12')
  await page.getByLabel('Orientation error, °').blur()
  await expect(page.getByRole('note').first()).toContainText('12°')
  expect(await seriousFaults(page)).toEqual([])
})

test('a long question can be stopped and asked again', async ({ page, bench }) => {
  const study = await prepare(bench, 'Stopped')
  await carryOut(bench, study, 40)
  let held: (() => void) | undefined
  await page.route('**/tolerance?**', async (route) => {
    if (!held) await new Promise<void>((go) => (held = go))
    await route.continue().catch(() => undefined)
  })
  await page.goto(`/studies/${study}/tolerance`)
  await expect(page.getByText(/Fitting orientation and offset together, \d s so far/)).toBeVisible()
  await page.getByRole('button', { name: 'Stop' }).click()
  await expect(page.getByText('Fitting orientation and offset together: stopped.')).toBeVisible()
  held?.()
  await page.getByRole('button', { name: 'Ask again' }).click()
  await expect(page.getByRole('img', { name: /Expected success for placement errors from 0/ })).toBeVisible({
    timeout: 60_000,
  })
})
