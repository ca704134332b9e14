import { readFile } from 'node:fs/promises'
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

test('a description is brought to its bench with one button, and downloaded', async ({ page, bench }) => {
  // The server reads the descriptions of the examples; the lab's hand has the same ID as one of them.
  const hand = { ...anyHand('Four air fingers of a bench'), id: 'air-four' }
  await bench.call('POST', '/hands', hand)
  await page.goto('/hands/air-four/numbers')
  const model = page.getByRole('region', { name: 'Into the model' })
  await expect(model.getByRole('button', { name: 'Bring the model to these measurements' })).toBeDisabled()
  await expect(model).toContainText('It needs a record on the sheet')

  const pressures = [10, 20, 30, 40, 50, 60, 70, 80]
  const off = (i: number) => (i % 3) - 1
  const keep = (test: string, table: string) =>
    bench.call('POST', '/hands/air-four/bench', { key: test, test, operator: 'Ada', table })
  const bends = pressures.map((p, i) => `${p},${(1.7286 * p + 0.3 * off(i)).toFixed(2)}`)
  const pushes = pressures.map((p, i) => `guided,${p},${(0.9 * 0.025 * p - 0.004 * off(i)).toFixed(4)}`)
  await keep('bending', `pressure_kPa,angle_deg\n${bends.join('\n')}\n`)
  await model.getByRole('button', { name: 'Bring the model to these measurements' }).click()
  const numbers = model.getByRole('region', { name: 'Numbers of the description, before and after' })
  await expect(numbers).toContainText('moment per pressure')
  await expect(model).toContainText('free bending alone tells moment over stiffness')

  // Another record comes: what is shown is told to be old.
  await keep('blocking', `bench,pressure_kPa,force_N\n${pushes.join('\n')}\n`)
  await expect(model.getByText('Records have changed since')).toBeVisible()
  await model.getByRole('button', { name: 'Bring the model to these measurements' }).click()
  await expect(model.getByText('Records have changed since')).toHaveCount(0)
  const row = numbers.getByRole('row', { name: /^stiffness against closing/ })
  await expect(row).toContainText('67.89')
  await expect(row).toContainText(/61\.\d/)
  await expect(model).not.toContainText('free bending alone')
  const name = 'Blocked force, guided: measured, as described, brought to the bench'
  await expect(model.getByRole('img', { name })).toBeVisible()
  await expect(model.getByText('brought to the bench', { exact: true }).first()).toBeVisible()
  await model.getByText('The curve as a table').last().click()
  await expect(model.getByRole('region', { name: `${name}: values` })).toContainText('as described')
  expect(await seriousFaults(page)).toEqual([])

  await model.getByLabel('Finger that was measured').selectOption('arm-3')
  const link = model.getByRole('link', { name: 'Download the fitted hand (YAML)' })
  await expect(model.getByRole('heading', { name: /by finger arm-3/ })).toBeVisible()
  const arriving = page.waitForEvent('download')
  await link.click()
  const file = await arriving
  expect(file.suggestedFilename()).toBe('air-four-from-bench.yaml')
  const text = await readFile(await file.path(), 'utf8')
  expect(text).toContain('# Brought to bench records of finger arm-3.')
  expect(text).toContain('moment per pressure: from 2.05 to 1.84')
})
