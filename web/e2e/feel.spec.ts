import { writeFileSync, mkdtempSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { anyHand, describedStudy, expect, seriousFaults, test, type Bench } from './server'

/** Gives the hand. */
async function described(bench: Bench): Promise<string> {
  const { hand } = await describedStudy(
    bench,
    { ...anyHand('Tendon five'), fingers: 5 },
    {
      name: 'Felt',
      question: 'Does feeling first help?',
      orientations: { kind: 'even', tilt_max_deg: 20, count: 20 },
      offset: { kind: 'gaussian', sigma_x_mm: 8, sigma_y_mm: 8 },
      replicates: 1,
      block_size: 20,
    },
  )
  expect(hand).toBe('tendon-five')
  return hand
}

test('a hand learns, is stopped, learns again; its rule is drawn, told in a table and downloaded', async ({
  page,
  bench,
}) => {
  test.setTimeout(180_000)
  const hand = await described(bench)
  await page.goto(`/hands?open=${hand}`)
  await page.getByRole('link', { name: 'What a first touch tells the wrist' }).click()
  await expect(page.getByText('This hand has learnt nothing of first touches yet')).toBeVisible()
  await expect(page.getByText('it is no safety function')).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  await page.getByLabel('Trials to learn from').fill('20000')
  await page.getByRole('button', { name: 'Learn in simulation' }).click()
  await expect(page.getByRole('progressbar')).toBeVisible()
  await page.getByRole('button', { name: 'Stop' }).click()
  await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: 30_000 })

  await page.getByLabel('Trials to learn from').fill('120')
  await page.getByLabel('Items to test on').fill('40')
  await page.getByRole('button', { name: 'Learn in simulation' }).click()
  await expect(
    page.getByRole('img', { name: /The hand seen along the approach.*finger 1: x .* ± .* mm/ }),
  ).toBeVisible({ timeout: 120_000 })
  await expect(
    page.getByRole('img', { name: /Gain of .* points, 95 % interval .* of 40 trials each/ }),
  ).toBeVisible()
  await expect(page.getByText(/in simulation$|sits within chance/).first()).toBeVisible()
  const table = page.getByRole('table', { name: 'The rule: what was touched first, and how the wrist moves' })
  await expect(table.getByRole('row', { name: /finger 1 \(thumb\) \d+/ })).toBeVisible()
  await page.getByRole('button', { name: 'each link' }).click()
  await expect(table.getByRole('row', { name: /finger 1 \(thumb\), link \d/ }).first()).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  await page.getByLabel('Pads tell the direction of a touch').check()
  await page.getByRole('button', { name: 'Learn in simulation' }).click()
  await expect(
    page.getByRole('table', {
      name: 'How the direction in which the item lies from the pad changes the move',
    }),
  ).toBeVisible({ timeout: 120_000 })

  const download = page.waitForEvent('download')
  await page.getByRole('link', { name: 'Download the strategy' }).click()
  expect((await download).suggestedFilename()).toBe(`${hand}-feels-first.yaml`)
})

test('guided trials: an invented table with turns, one with a fault, one with too few', async ({
  page,
  bench,
}) => {
  const hand = 'tendon-five'
  const dir = mkdtempSync(join(tmpdir(), 'holdfast-feel-'))
  const file = (name: string, text: string) => {
    writeFileSync(join(dir, name), text)
    return join(dir, name)
  }
  expect((await bench.call<{ id: string }[]>('GET', '/hands')).map((h) => h.id)).toContain(hand)
  await page.goto(`/hands/${hand}/feel`)
  await page.getByLabel('Try the rule in the condition above').uncheck()
  await page.getByRole('button', { name: 'Try with an invented table' }).click()
  await expect(page.getByText('Learnt from an invented table; not tried in simulation')).toBeVisible()
  await expect(page.getByRole('img', { name: /finger 1: .*turn .* ± .*°/ })).toBeVisible()
  await expect(page.getByText('17 of 120 trials did not end held and teach nothing.')).toBeVisible()
  await expect(page.getByRole('link', { name: 'Download the strategy' })).toHaveCount(0)
  expect(await seriousFaults(page)).toEqual([])

  const header = 'finger,move_x_mm,move_y_mm,outcome\n'
  await page
    .getByLabel('Guided trials', { exact: true })
    .setInputFiles(file('fault.csv', header + '1,1,far,held\n'))
  await page.getByRole('button', { name: 'Learn from the table' }).click()
  await expect(page.getByRole('alert')).toContainText('row 2, column move_y_mm')

  const rows = Array.from({ length: 24 }, (_, i) => `${1 + (i % 2)},${4 + (i % 3)},${-(i % 5)},held\n`).join(
    '',
  )
  await page
    .getByLabel('Guided trials', { exact: true })
    .setInputFiles(file('few.csv', header + rows + '3,1,1,held\n'))
  await page.getByLabel('Try the rule in the condition above').uncheck()
  await page.getByRole('button', { name: 'Learn from the table' }).click()
  await expect(
    page.getByText(/Too few trials in which finger 3 was touched first held \(1; 5 are needed\)/),
  ).toBeVisible()
})

test('a hand without a description says so, and that tables are read all the same', async ({
  page,
  bench,
}) => {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand('Unwritten'))
  await page.goto(`/hands/${id}/feel`)
  await expect(page.getByText('This hand can not learn in simulation here')).toBeVisible()
  await expect(page.getByLabel('Guided trials', { exact: true })).toBeVisible()
  await expect(page.getByRole('button', { name: 'Learn in simulation' })).toHaveCount(0)
})
