import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('compare two strategies: the sentence, the margin, the maps, and what is left out', async ({
  page,
  bench,
}) => {
  const study = await prepare(bench, 'Compare two ways', 3)
  await carryOut(bench, study, 240)
  await page.goto(`/studies/${study}/compare`)
  const answer = page.getByRole('region', { name: 'Answer' })
  await expect(answer).toContainText(/Surface-guided holds more often than free: \+\d+/)
  await expect(answer).toContainText('compared within blocks')
  await expect(page.getByRole('img', { name: /surface-guided minus free: \+/ })).toBeVisible()

  // The other way round mirrors it.
  await page.getByRole('combobox', { name: 'A', exact: true }).selectOption('free')
  await expect(answer).toContainText(/Free holds less often than surface-guided: [-−]\d+/)
  await expect(page).toHaveURL(/a=free/)

  // Leaving blocks out is possible, and said.
  await page.getByRole('combobox', { name: 'Counted by' }).selectOption('trials')
  await expect(answer).toContainText('Blocks are left out of account by choice')
  await page.getByLabel('No worse by, points').fill('60')
  await page.getByLabel('No worse by, points').blur()
  await expect(page.getByText('no worse by more than 50.0 points')).toBeVisible()

  await expect(page.getByText(/Where it is clear, in shares/)).toBeVisible({ timeout: 60_000 })
  const difference = page.getByRole('application', {
    name: 'Difference of the two maps over approach directions',
  })
  await difference.focus()
  await page.keyboard.press('ArrowRight')
  await expect(page.locator('.readout')).toContainText(
    /free\s+\d+\s%, surface-guided\s+\d+\s%: [+−]?\d+ points/,
    {
      timeout: 60_000,
    },
  )
  expect(await seriousFaults(page)).toEqual([])
})

test('a study of one strategy has nothing to compare', async ({ page, bench }) => {
  const study = await prepare(bench, 'Compare nothing')
  await page.goto(`/studies/${study}/compare`)
  await expect(page.getByText('There is nothing to compare yet')).toBeVisible()
})
