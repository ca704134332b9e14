import { carryOut, expect, prepare, seriousFaults, test } from './server'

test('factors: what matters in words, as bars and as tables', async ({ page, bench }) => {
  const study = await prepare(bench, 'Factors')
  await page.goto(`/studies/${study}/factors`)
  await expect(page.getByText('There is nothing to tell apart yet')).toBeVisible()
  await carryOut(bench, study, 120)
  await page.goto(`/studies/${study}`)
  await page.getByRole('link', { name: 'Factors', exact: true }).click()
  await expect(page.getByRole('heading', { name: 'What was lost when left out' })).toBeVisible({
    timeout: 60_000,
  })
  await expect(page.getByText(/matters most|Nothing that was varied/)).toBeVisible()
  await expect(page.getByRole('img', { name: /Chance held by/ }).first()).toBeVisible()
  await page.getByText('As a table').first().click()
  await expect(page.getByRole('region', { name: /^Effect of/ }).first()).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
})

test('factors: size and mass of the items, where they differ', async ({ page, bench }) => {
  const one = await prepare(bench, 'Factor sizes')
  const study = await bench.call<Record<string, unknown> & { items: string[] }>('GET', `/studies/${one}`)
  const bun = await bench.call<Record<string, unknown>>('GET', `/items/${study.items[0]}`)
  const small = {
    ...bun,
    id: undefined,
    revision: undefined,
    name: 'Small bun of factor sizes',
    size_x_mm: 52,
    mass_g: 24,
    turning: { axial: true, fold: 1, mirror: true },
  }
  const { id: item } = await bench.call<{ id: string }>('POST', '/items', small)
  const both = { ...study, id: undefined, name: 'Factor sizes of both', items: [...study.items, item] }
  const { id } = await bench.call<{ id: string }>('POST', '/studies', both)
  await bench.call('POST', `/studies/${id}/plan`, {})
  await carryOut(bench, id, 160)
  await page.goto(`/studies/${one}/factors`)
  await expect(page.getByText('There is nothing to tell apart yet')).toBeVisible()
  await page.goto(`/studies/${id}/factors`)
  await page.getByLabel('Also by size and mass of the items').check({ timeout: 60_000 })
  await expect(page.getByRole('heading', { name: 'item mass' })).toBeVisible({ timeout: 60_000 })
  await expect(page.getByText(/item size took 2 different values/)).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
})
