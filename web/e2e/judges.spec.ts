import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('judge trials by key without seeing the record, then see how far people agree', async ({
  page,
  bench,
}) => {
  const study = await prepare(bench, 'Judge buns')
  await carryOut(bench, study, 30)
  await page.goto(`/studies/${study}/judges`)
  await expect(page.getByText('Nobody has judged a second time yet')).toBeVisible()
  await page.getByLabel('Who judges').fill('Second looker')
  await page.getByRole('button', { name: 'Judge trials' }).click()

  const judging = page.getByRole('region', { name: 'Judge a trial' })
  await expect(judging.getByRole('heading', { name: /^Trial \d+$/ })).toBeVisible()
  const first = await judging.getByRole('heading').innerText()
  // What was recorded is nowhere to be seen.
  await expect(page.getByText(/judged a second time/)).toHaveCount(0)
  await judging.getByRole('heading').click()
  await page.keyboard.press('1')
  await expect(judging.getByRole('heading')).not.toHaveText(first)
  await expect(judging).toContainText(/Last: trial \d+, held/)
  for (const key of ['4', '1', '2', '1']) {
    const before = await judging.getByRole('heading').innerText()
    await page.keyboard.press(key)
    await expect(judging.getByRole('heading')).not.toHaveText(before)
  }
  await expect(judging).toContainText('5 judged in this sitting, 25 trials left')
  const judgements = await bench.call<{ outcome: string; judge: string }[]>(
    'GET',
    `/studies/${study}/judgements`,
  )
  expect(judgements.map((j) => j.outcome)).toEqual(['held', 'missed', 'held', 'dropped', 'held'])

  await page.getByRole('button', { name: 'Stop and show it' }).click()
  await expect(page.getByText(/5 trials were judged a second time/)).toBeVisible()
  await expect(page.getByRole('cell', { name: /%/ }).first()).toBeVisible()
  await page.getByText('Held or not', { exact: true }).click()
  await expect(
    page.getByText('Trials by outcome: as recorded in rows, Second looker in columns'),
  ).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
})
