import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('factors: what matters in words, as bars and as tables', async ({ page, bench }) => {
  const study = await prepare(bench, 'Factors')
  await page.goto(`/studies/${study}/factors`)
  await expect(page.getByText('There is nothing to tell apart yet')).toBeVisible()
  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}`)
  await page.getByRole('link', { name: 'Factors', exact: true }).click()
  await expect(page.getByRole('heading', { name: 'What was lost when left out' })).toBeVisible({
    timeout: 60_000,
  })
  await expect(page.getByText(/matters most|Nothing that was varied/)).toBeVisible()
  await expect(page.getByRole('img', { name: /Chance held by/ }).first()).toBeVisible()
  await page.getByText('As a table').first().click()
  await expect(page.getByRole('region', { name: /^Effect of/ }).first()).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
})
