import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('families: what an item borrows, from whom, and whether forecasts gain', async ({ page, bench }) => {
  const study = await prepare(bench, 'Families')
  await page.goto(`/studies/${study}/families`)
  await expect(page.getByText('There is nothing to borrow yet')).toBeVisible()
  await carryOut(bench, study, 80)

  // A second item with no trials of its own yet.
  const bun = (await bench.call<{ id: string; name: string }[]>('GET', '/items')).find((i) =>
    i.name.endsWith('Families'),
  )!
  const { id: fresh } = await bench.call<{ id: string }>('POST', '/items', {
    ...Object.fromEntries(
      Object.entries(bun).filter(
        ([key]) => !['id', 'revision', 'created', 'updated', 'invented'].includes(key),
      ),
    ),
    name: 'Bap Families',
    size_x_mm: 96,
    stiffness_N_per_mm: 0,
  })

  await page.goto(`/studies/${study}`)
  await page.getByRole('link', { name: 'Families', exact: true }).click()
  await expect(
    page.getByText(/No other item was tried with this hand, setting and strategy, so/),
  ).toBeVisible({
    timeout: 60_000,
  })
  await page.getByLabel('Item that borrows').selectOption(fresh)
  await expect(page.getByText(/It has no trials of its own/)).toBeVisible({ timeout: 60_000 })
  await expect(page.getByText(/the stiffness is not known and is averaged over/)).toBeVisible()
  await expect(page.getByRole('heading', { name: 'Who lends' })).toBeVisible()
  await expect(page.getByRole('cell', { name: 'Bun Families' }).first()).toBeVisible()
  await expect(page.getByRole('img', { name: /Chance of success of Bap Families by tilt/ })).toBeVisible()
  await page.getByText('As a table').click()
  await expect(page.getByRole('region', { name: /Chance of success of Bap Families/ })).toBeVisible()
  await expect(page.getByRole('region', { name: /^Log loss a trial/ })).toBeVisible({ timeout: 60_000 })
  expect(await seriousFaults(page)).toEqual([])

  // New trials anywhere are offered, not fitted while somebody reads.
  await bench.call('POST', `/studies/${study}/trials`, { key: 'one-more', order: 81, outcome: 'held' })
  await page.getByRole('button', { name: 'Fit again' }).click()
  await expect(page.getByText(/It has no trials of its own/)).toBeVisible({ timeout: 60_000 })
})
