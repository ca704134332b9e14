import { writeFileSync, mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { anyHand, expect, seriousFaults, test } from './server'

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

test('a rig is followed: its readings are drawn as they come, and it is told what does not fit', async ({
  page,
  bench,
}) => {
  const hand = await bench.call<{ id: string }>('POST', '/hands', anyHand('Feeling'))
  const files = await bench.call<{ calibration: string; places: string; record: string }>(
    'GET',
    '/touch/strips/invented',
  )
  const dir = mkdtempSync(join(tmpdir(), 'holdfast-rig-'))
  const file = (name: string, text: string) => {
    writeFileSync(join(dir, name), text)
    return join(dir, name)
  }
  await page.goto(`/hands/${hand.id}/shape`)
  await page.getByLabel('Calibration').setInputFiles(file('c.csv', files.calibration))
  await page.getByLabel('Places').setInputFiles(file('p.csv', files.places))
  await page.getByRole('button', { name: 'Follow a rig' }).click()
  await expect(page.getByText('Nothing has come from the rig yet.')).toBeVisible()

  const rows = files.record
    .trim()
    .split('\n')
    .slice(1)
    .map((row) => row.split(',').map(Number))
  const post = (list: number[][]) =>
    bench.call<{ followers: number }>('POST', `/hands/${hand.id}/readings/strips`, {
      readings: list.map(([time_s, ...values]) => ({ time_s, values })),
    })
  expect((await post(rows.slice(0, 1))).followers).toBe(1)
  const picture = page.getByRole('img', { name: /Side view of the finger/ })
  await expect(picture).toHaveAccessibleName(/turned by (−|-)?0°/)
  await post(rows.slice(1, 150))
  await expect(picture).toHaveAccessibleName(/turned by [1-9][0-9]°/)
  expect(await seriousFaults(page)).toEqual([])
  await post([[99, 1]])
  await expect(page.getByRole('alert')).toContainText('strip')

  await page.getByRole('button', { name: 'Follow an invented rig' }).click()
  await expect(page.getByText(/Live, [0-9.]+ s on the rig’s clock/)).toBeVisible()
  await page.getByRole('button', { name: 'Stop following' }).click()
  await expect(page.getByRole('slider', { name: 'Time of the record' })).toBeVisible()
})
