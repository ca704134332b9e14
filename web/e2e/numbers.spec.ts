import { anyHand, expect, seriousFaults, test } from './server'

test('a bench record is typed, checked, kept, made void; the sheet follows', async ({ page, bench }) => {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand('Bellows of numbers'))
  await page.goto(`/hands?open=${id}`)
  await page.getByRole('link', { name: 'Its own numbers, from the bench' }).click()
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Bellows of numbers: its own numbers')
  await page.getByRole('button', { name: /^Grip strength against size/ }).click()
  await expect(page).toHaveURL(/test=grip/)
  await expect(page.getByText('Cut motion and air before reaching in')).toBeVisible()

  // A fault names its row and column, and nothing is kept.
  await page.getByLabel('Who measured').fill('Ada')
  await page.getByLabel('Row 2, diameter_mm').fill('30')
  await page.getByLabel('Row 2, force_N').fill('ten')
  await page.getByRole('button', { name: 'Keep the record' }).click()
  await expect(page.getByRole('alert')).toContainText('row 2, column force_N')
  expect(await bench.call<unknown[]>('GET', `/hands/${id}/bench`)).toHaveLength(0)

  // Checked first, then kept.
  await page.getByLabel('Row 2, force_N').fill('10')
  await page.getByLabel('Row 3, diameter_mm').fill('30')
  await page.getByLabel('Row 3, force_N').fill('12')
  await page.getByRole('button', { name: 'Check, keep nothing' }).click()
  await expect(page.getByText('In order; nothing is kept yet')).toBeVisible()
  expect(await bench.call<unknown[]>('GET', `/hands/${id}/bench`)).toHaveLength(0)
  await page.getByRole('button', { name: 'Keep the record' }).click()
  const figures = page.getByRole('region', { name: 'Grip strength against size: figures' })
  await expect(figures).toContainText('11')
  await expect(page.getByRole('img', { name: 'Grip strength against size' })).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  // From a file, for another test.
  await page.getByRole('button', { name: /^Life/ }).click()
  await page.getByLabel(/The curve as a CSV file/).setInputFiles({
    name: 'life.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from('cycles,end\n1000,failed\n2000,failed\n2500,running\n3000,failed\n'),
  })
  await expect(page.getByText('life.csv: 4 rows')).toBeVisible()
  await page.getByRole('button', { name: 'Keep the record' }).click()
  await expect(page.getByRole('figure').getByText('only exceeded')).toBeVisible()

  await page.getByRole('link', { name: 'Hand sheet' }).click()
  await expect(page.getByRole('heading', { name: 'Grip strength against size' })).toBeVisible()
  await expect(page.getByRole('link', { name: 'Download as PDF' })).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  await page.goto(`/hands/${id}/numbers?test=grip`)
  await page.getByRole('button', { name: 'Make it void' }).click()
  const dialog = page.getByRole('dialog')
  await dialog.getByLabel('Why').fill('The cell was loose')
  await dialog.getByRole('button', { name: 'Make it void' }).click()
  await expect(page.getByText('It stays on record and counts for nothing.')).toBeVisible()
  await page.goto(`/hands/sheet?hands=${id}`)
  await expect(page.getByRole('heading', { name: 'Life' })).toBeVisible()
  await expect(page.getByRole('heading', { name: 'Grip strength against size' })).toHaveCount(0)
})
