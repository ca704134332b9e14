import { writeFileSync, mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, seriousFaults, test } from './server'

test('an invented array is read: bad pads named, contacts over time', async ({ page }) => {
  await page.goto('/hands/any/pads')
  await page.getByRole('button', { name: 'Try with an invented record' }).click()
  await expect(page.getByText('Dead pads, which tell nothing: 12.')).toBeVisible()
  await expect(page.getByText(/Bridged pads.*24, 25/)).toBeVisible()
  await expect(
    page.getByRole('img', { name: /Pads at their places; contact [0-9]+: [0-9.]+ N/ }),
  ).toBeVisible()
  await page.getByRole('slider', { name: 'Time of the record' }).focus()
  await page.keyboard.press('Home')
  await expect(page.getByRole('img', { name: 'Pads at their places; nothing touches' })).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
})

test('a file with a fault is told by row and column', async ({ page }) => {
  const dir = mkdtempSync(join(tmpdir(), 'holdfast-pads-'))
  const file = (name: string, text: string) => {
    writeFileSync(join(dir, name), text)
    return join(dir, name)
  }
  await page.goto('/hands/any/pads')
  await page
    .getByLabel('Calibration')
    .setInputFiles(file('c.csv', 'pressed_pad,force_N,pad_1\n0,0,1\n3,1,2\n'))
  await page.getByLabel('Places').setInputFiles(file('p.csv', 'pad,x_mm,y_mm\n1,0,0\n'))
  await page.getByLabel('Record', { exact: true }).setInputFiles(file('r.csv', 'time_s,pad_1\n0,1\n'))
  await page.getByRole('button', { name: 'Read the files' }).click()
  await expect(page.getByRole('alert')).toContainText('row 3, column pressed_pad')
})

test('an invented finger is drawn with its band and follows the record', async ({ page }) => {
  await page.goto('/hands/any/shape')
  await page.getByRole('button', { name: 'Try with an invented record' }).click()
  const picture = page.getByRole('img', { name: /Side view of the finger/ })
  await expect(picture).toBeVisible()
  await page.getByRole('slider', { name: 'Time of the record' }).focus()
  await page.keyboard.press('Home')
  await expect(picture).toHaveAccessibleName(/turned by (−|-)?0°/)
  expect(await seriousFaults(page)).toEqual([])
})
