import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('design a proof run, sign it, carry it to its verdict, and see it on the card', async ({
  page,
  bench,
}) => {
  test.setTimeout(180_000)
  const study = await prepare(bench, 'Proved')
  await page.goto(`/studies/${study}/prove`)
  await expect(page.getByText('There is no region to prove yet').first()).toBeVisible({ timeout: 30_000 })
  await expect(page.getByRole('button', { name: 'Sign this run' })).toBeDisabled()

  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}/prove`)
  await page.getByLabel('Success to show').fill('60')
  await page.getByLabel('With confidence').fill('80')
  await expect(page.getByText('4 trials with at most 0 failures')).toBeVisible({ timeout: 60_000 })
  await page.getByLabel('Plan', { exact: true }).selectOption('sequential')
  await expect(page.getByText('Wald’s approximation beside the exact figures')).toBeVisible({
    timeout: 30_000,
  })
  expect(await seriousFaults(page)).toEqual([])
  await page.getByLabel('Plan', { exact: true }).selectOption('success-run')
  await expect(page.getByText('4 trials with at most 0 failures')).toBeVisible()

  await page.getByRole('button', { name: 'Sign this run' }).click()
  const sign = page.getByRole('dialog').getByRole('button', { name: 'Sign', exact: true })
  await page.getByLabel('Signed by').fill('Shift lead')
  await expect(sign).toBeDisabled() // not before the cautions were read
  await page.getByLabel('I have read the cautions.').check()
  await sign.click()

  await expect(page.getByText('Signed; no trial counts yet. At most 4 trials.', { exact: true })).toBeVisible(
    {
      timeout: 30_000,
    },
  )
  await expect(page.getByText('Moving robot: keep people out').first()).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
  const pad = page.getByRole('group', { name: 'How did the trial end?' })
  const big = await pad.getByRole('button', { name: 'Held' }).boundingBox()
  expect(big!.height).toBeGreaterThanOrEqual(56)

  const next = (n: number) =>
    expect(page.getByRole('heading', { name: `Trial ${n}`, exact: true })).toBeVisible()
  await next(1)
  await page.waitForTimeout(400) // a press too soon is a bounce
  await pad.getByRole('button', { name: 'Void' }).click()
  await page.getByRole('button', { name: 'Item lay wrong before the start' }).click()
  await next(2)
  for (let n = 2; n < 5; n++) {
    await page.waitForTimeout(400)
    await page.keyboard.press('1')
    await next(n + 1)
  }
  await expect(
    page.getByText('Go on: 0 failures in 3 trials so far, of at most 4.', { exact: true }),
  ).toBeVisible()
  await page.waitForTimeout(400)
  await pad.getByRole('button', { name: 'Held' }).click()
  await expect(page.getByText('Accepted: 0 failures in 4 trials.', { exact: true })).toBeVisible()
  await expect(pad).toBeHidden()
  await expect(page.getByRole('row', { name: /void/ })).toBeVisible()
  await expect(page.getByRole('navigation', { name: 'Steps of the study' })).toContainText('accepted')
  expect(await seriousFaults(page)).toEqual([])

  // One of its trials turns out otherwise: the verdict follows, and says so.
  const [proof] = await bench.call<
    {
      id: string
      strategy: string
      hand: string
      item: string
      setting: string
      steps: { newest: number }[]
    }[]
  >('GET', `/studies/${study}/proofs`)
  await bench.call('POST', `/studies/${study}/trials`, {
    key: 'second look at the proof',
    corrects: proof!.steps[4]!.newest,
    outcome: 'dropped',
  })
  await expect(page.getByText('Rejected: 1 failure in 4 trials.', { exact: true })).toBeVisible()
  await expect(page.getByText('Corrections or inspections changed the verdict')).toBeVisible()

  const card = await bench.call<{ id: string }>('POST', '/cards', {
    study,
    hand: proof!.hand,
    item: proof!.item,
    setting: proof!.setting,
    strategy: proof!.strategy,
    released_by: 'Shift lead',
  })
  await page.goto(`/cards/${card.id}`)
  await expect(page.getByText('proof run rejected')).toBeVisible()

  // Another one, given up.
  await page.goto(`/studies/${study}/prove`)
  await page.getByRole('button', { name: 'Design another' }).click()
  await page.getByRole('button', { name: 'Sign this run' }).click({ timeout: 30_000 })
  await page.getByLabel('I have read the cautions.').check()
  await sign.click()
  await page.getByRole('button', { name: 'Give this run up…' }).click()
  await page.getByLabel('Reason').fill('the oven failed')
  await page.getByRole('dialog').getByRole('button', { name: 'Give it up' }).click()
  await expect(page.getByText('Given up by Shift lead')).toBeVisible()
})
