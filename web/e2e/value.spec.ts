import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('state what a pick brings, see what an hour earns, choose the hands that serve the item', async ({
  page,
  bench,
}) => {
  test.setTimeout(180_000)
  const study = await prepare(bench, 'Counter')
  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}/value`)
  await expect(page.getByText('all amounts are 0')).toBeVisible({ timeout: 60_000 })

  const figures = page.getByRole('form', { name: 'Figures of Bun Counter' })
  await figures.getByLabel('A person’s time for an item').fill('0')
  await figures.getByRole('button', { name: 'Save figures' }).click()
  await expect(figures.getByText('must be above 0').first()).toBeVisible()
  await figures.getByLabel('A person’s time for an item').fill('9')
  await figures.getByLabel('Value per good pick').fill('0.4')
  await figures.getByLabel('Attempt, where none was timed').fill('6')
  await figures.getByLabel('Share of the line’s hours').fill('100')
  await figures.getByLabel('After a failed attempt').selectOption('once more, next strategy, then a person')
  await figures.getByRole('button', { name: 'Save figures' }).click()
  await expect
    .poll(async () => bench.call('GET', '/economics/items/bun-counter'))
    .toMatchObject({
      value_per_good: 0.4,
      person_s: 9,
      share: 1,
      retry: ['same', 'next', 'person'],
      revision: 1,
    })

  await expect(page.getByText('all amounts are 0')).toBeHidden()
  await expect(
    page.getByRole('img', { name: /^Net value an hour by condition.*A person alone: 160.00/ }),
  ).toBeVisible()
  const flow = page.getByRole('list', { name: /What becomes of an item/ })
  await expect(flow).toContainText('attempt 3')
  await page.getByLabel('After a failed attempt').first().selectOption('no second attempt: leave it')
  await expect(page).toHaveURL(/retry=leave/)
  await expect(flow).not.toContainText('attempt 2')
  await page.getByText('The same as a table').click()
  await expect(page.getByRole('cell', { name: 'value per good pick' })).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  await page.getByRole('link', { name: 'Hand set', exact: true }).first().click()
  await expect(page.getByRole('heading', { name: 'Items and hands' })).toBeVisible({ timeout: 60_000 })
  const row = page.getByRole('row', { name: /^Bun Counter/ }).first()
  await expect(row).toContainText(/not met|met/)
  await page.getByLabel('Hands to keep, at most').selectOption('1')
  await expect(page).toHaveURL(/max=1/)
  expect(await seriousFaults(page)).toEqual([])
})
