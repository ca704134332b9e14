import { carryOut, describedStudy, expect, prepare, seriousFaults, test, type Bench } from './server'

/** Gives the study, with its trials. */
async function described(bench: Bench): Promise<string> {
  const { hand, study } = await describedStudy(
    bench,
    {
      name: 'Jaws two',
      actuation: 'motor',
      fingers: 2,
      roll_fold: 2,
      mirror: true,
      finger_length_mm: 63,
      palm_diameter_mm: 70,
      opening_max_mm: 94,
      command_unit: 'mm',
      command_full: 51,
      force_max_N: 10,
      food_contact: true,
    },
    {
      name: 'Fitted',
      question: 'Is the model right?',
      orientations: { kind: 'even', tilt_max_deg: 40, count: 30 },
      offset: { kind: 'gaussian', sigma_x_mm: 3, sigma_y_mm: 3 },
      replicates: 2,
      block_size: 30,
    },
  )
  expect(hand).toBe('jaws-two')
  await bench.call('POST', `/studies/${study}/plan`)
  await carryOut(bench, study, 60)
  return study
}

test('a model is fitted, stopped, fitted again, read, and stands behind the map', async ({ page, bench }) => {
  test.setTimeout(180_000)
  const study = await described(bench)
  await page.goto(`/studies/${study}/model`)
  await expect(page.getByText('No model was fitted to these trials yet')).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  await page.getByRole('button', { name: 'Fit the model' }).click()
  await expect(page.getByRole('progressbar')).toBeVisible()
  await page.getByRole('button', { name: 'Stop' }).click()
  await expect(page.getByRole('progressbar')).toHaveCount(0, { timeout: 30_000 })

  await page.getByLabel('Joint stiffness').uncheck()
  await page.getByLabel('Simulated trials').fill('600')
  await page.getByRole('button', { name: 'Fit the model' }).click()
  const quantities = page.getByRole('table', { name: 'Fitted quantities with 90 % intervals' })
  await expect(quantities.getByRole('row', { name: /Friction/ })).toBeVisible({ timeout: 120_000 })
  await expect(quantities.getByRole('row', { name: /Position error mm/ })).toBeVisible()
  await expect(page.getByRole('img', { name: /Share held, by tilt.*bench.*model/ })).toBeVisible()
  await expect(page.getByText('an order of magnitude, no more')).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])

  const odd = page.getByRole('table', { name: 'Trials that the model finds least likely' })
  if ((await odd.count()) > 0) {
    await expect(odd.getByRole('link').first()).toHaveAttribute('href', /record\?trial=\d+/)
  }
  await page.getByRole('button', { name: 'Use as prior mean' }).click()
  await page.getByRole('link', { name: 'the map', exact: true }).click()
  await expect(
    page.getByText(/A simulation fitted to 60 of these trials stands behind this map/),
  ).toBeVisible({
    timeout: 60_000,
  })
  await page.goBack()
  await page.getByRole('button', { name: 'Take it away' }).click()
  await expect(page.getByRole('button', { name: 'Use as prior mean' })).toBeVisible()
})

test('a condition without a description is told so, and how to mend it', async ({ page, bench }) => {
  const study = await prepare(bench, 'Undescribed')
  await carryOut(bench, study, 10)
  await page.goto(`/studies/${study}/model`)
  await expect(page.getByText(/not described for simulation/)).toBeVisible()
  await expect(page.getByRole('button', { name: 'Fit the model' })).toHaveCount(0)
})
