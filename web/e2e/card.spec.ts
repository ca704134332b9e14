import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('choose, release, find the card, and see that it no longer matches', async ({ page, bench }) => {
  test.setTimeout(180_000)
  const study = await prepare(bench, 'Chosen')
  await carryOut(bench, study, 150)
  await page.goto(`/studies/${study}/choose`)
  const first = page
    .getByRole('listitem')
    .filter({ has: page.getByRole('button', { name: 'Release a pick card' }) })
    .first()
  await expect(first).toContainText('surface-guided', { timeout: 60_000, ignoreCase: true })
  expect(await seriousFaults(page)).toEqual([])

  await first.getByRole('button', { name: 'Release a pick card' }).click()
  const release = page.getByRole('button', { name: 'Release the card' })
  await page.getByLabel('Released by').fill('Shift lead')
  await expect(release).toBeDisabled() // not before the cautions were read
  await expect(page.getByRole('dialog')).toContainText('Compressed air')
  await page.getByLabel('I have read the cautions.').check()
  await release.click()

  await expect(page).toHaveURL(/\/cards\//, { timeout: 60_000 })
  await expect(page.getByText('still matches its evidence')).toBeVisible()
  await expect(page.getByText('Released by Shift lead')).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
  const id = decodeURIComponent(new URL(page.url()).pathname.split('/').pop()!)
  for (const kind of ['card.json', 'card.pdf']) {
    const response = await page.request.get(`/api/v1/cards/${id}/${kind}`)
    expect(response.status(), kind).toBe(200)
  }

  await page.goto('/cards')
  await expect(page.getByRole('link', { name: `Card ${id}` })).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  // One of its trials turns out otherwise.
  const { trials } = await bench.call<{ trials: { id: number; strategy: string; counted: string }[] }>(
    'GET',
    `/studies/${study}/trials?strategy=surface-guided`,
  )
  const held = trials.find((t) => t.counted === 'held')!
  await bench.call('POST', `/studies/${study}/trials`, {
    key: 'second look',
    corrects: held.id,
    outcome: 'dropped',
  })
  await page.goto(`/cards/${id}`)
  await expect(page.getByText('This card no longer matches its evidence')).toBeVisible()

  await page.getByRole('button', { name: 'Withdraw' }).click()
  await page.getByLabel('Withdrawn by').fill('Shift lead')
  await page.getByLabel('Reason').fill('one pick was read wrongly')
  await page.getByRole('dialog').getByRole('button', { name: 'Withdraw' }).click()
  await expect(page.getByText('Withdrawn: do not run this card')).toBeVisible()
  await expect(page.getByText('one pick was read wrongly')).toBeVisible()
})
