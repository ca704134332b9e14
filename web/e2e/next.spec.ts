import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('which trials next: what choosing loses, why each, into the plan, another question', async ({
  page,
  bench,
}) => {
  test.setTimeout(180_000)
  const study = await prepare(bench, 'Settled', 1)
  await carryOut(bench, study, 60)
  await page.goto(`/studies/${study}/next`)
  await expect(page.getByText(/Choosing now is expected to lose/)).toBeVisible({ timeout: 60_000 })
  await expect(page.getByRole('img', { name: /loss of success, points against trials spent/ })).toBeVisible({
    timeout: 90_000,
  })
  await expect(page.getByRole('img', { name: /Approach directions of the 8 proposed trials/ })).toBeVisible()
  await expect(page.getByRole('cell', { name: /Tells most about whether/ }).first()).toBeVisible()
  await page.getByLabel('Trials', { exact: true }).fill('4')
  await page.getByLabel('Trials', { exact: true }).blur()
  await expect(page).toHaveURL(/trials=4/)
  await expect(page.getByRole('img', { name: /Approach directions of the 4 proposed trials/ })).toBeVisible({
    timeout: 60_000,
  })
  expect(await seriousFaults(page)).toEqual([])

  const before = await bench.call<{ runs: unknown[] }>('GET', `/studies/${study}/plan`)
  await page.getByRole('button', { name: /Add \d+ runs to the plan/ }).click()
  await expect(page.getByText(/runs added to the plan/).first()).toBeVisible({ timeout: 60_000 })
  const after = await bench.call<{ runs: { why?: string }[] }>('GET', `/studies/${study}/plan`)
  expect(after.runs.length).toBeGreaterThanOrEqual(before.runs.length + 4)
  expect(after.runs.at(-1)?.why).toBeTruthy()

  await page.getByLabel('What are the trials to settle?').selectOption('rank')
  await page.getByRole('button', { name: 'Save the aim' }).click()
  await expect(page.getByText(/The order now is/)).toBeVisible({ timeout: 60_000 })
})
