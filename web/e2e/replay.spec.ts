import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, prepare, seriousFaults, test, type Bench } from './server'

const type = 'application/vnd.holdfast.replay+gzip'

/** Stores one of the kept replays and returns its digest. */
async function film(bench: Bench, name: string): Promise<string> {
  const response = await fetch(`${bench.url}/api/v1/recordings?name=replay.json.gz`, {
    method: 'POST',
    headers: { 'Content-Type': type },
    body: readFileSync(join(import.meta.dirname, `../../replay/testdata/${name}.json.gz`)),
  })
  expect(response.ok).toBe(true)
  return ((await response.json()) as { sha256: string }).sha256
}

test('see again how two trials went, on one clock, without a mouse', async ({ page, bench }) => {
  const study = await prepare(bench, 'Films')
  const [held, lost] = [await film(bench, 'held'), await film(bench, 'lost')]
  const log = (key: string, strategy: string, outcome: string, tilt: number, recordings?: string[]) =>
    bench.call<{ root: number }>('POST', `/studies/${study}/trials`, {
      key,
      strategy,
      outcome,
      orientation: { tilt_deg: tilt, azimuth_deg: 57, roll_deg: 0 },
      recordings,
    })
  const first = await log('films-1', 'free', 'held', 6, [held])
  const other = await log('films-2', 'surface-guided', 'slipped', 9, [lost])
  const bare = await log('films-3', 'free', 'missed', 30)

  // From the record to the replay; a trial without a film offers none.
  await page.goto(`/studies/${study}/record`)
  await expect(page.getByRole('link', { name: `T${bare.root}: see how it went` })).toHaveCount(0)
  await page.getByRole('link', { name: `T${first.root}: see how it went` }).click()
  await expect(page.getByRole('heading', { name: `T${first.root}: held` })).toBeVisible()
  await expect(page.getByText('A picture of a computation')).toBeVisible()
  await expect(page.getByText('lifted 101 mm and kept')).toBeVisible()

  // Nothing plays by itself; the scrub bar steps frame by frame and says where it is.
  const scrub = page.getByRole('slider', { name: 'Time' })
  await expect(scrub).toHaveValue('0')
  await scrub.focus()
  await page.keyboard.press('End')
  await expect(scrub).toHaveAttribute('aria-valuetext', /^1\.4\d of 1\.4\d s/)
  await page.getByRole('button', { name: /3\. close/ }).click()
  await expect(scrub).toHaveAttribute('aria-valuetext', /^0\.3\d of .* close$/)
  await page.getByRole('button', { name: 'One frame on' }).click()
  await page.getByRole('button', { name: 'a tenth of the speed' }).click()
  const before = Number(await scrub.inputValue())
  await scrub.focus()
  await page.keyboard.press('Space')
  await expect.poll(async () => Number(await scrub.inputValue())).toBeGreaterThan(before)
  await page.keyboard.press('Space')
  const stood = await scrub.inputValue()
  await page.waitForTimeout(300)
  expect(await scrub.inputValue()).toBe(stood)
  await expect(page.getByRole('application')).toHaveAttribute('aria-label', /hand, item and forces/)

  // Beside it the nearest trial of another strategy.
  await page.getByRole('button', { name: 'Nearest trial by surface-guided' }).click()
  await expect(page).toHaveURL(new RegExp(`beside=${other.root}`))
  await expect(page.getByRole('heading', { name: `T${other.root}: slipped` })).toBeVisible()
  await expect(page.getByText('rose 14 mm, then slipped out', { exact: false })).toBeVisible()
  await expect(page.getByRole('application')).toHaveCount(2)
  await expect(page.getByRole('region', { name: new RegExp(`T${other.root} by phases`) })).toContainText(
    'not reached',
  )
  expect(await seriousFaults(page)).toEqual([])

  // Where to begin, and what a trial without a film says.
  await page.getByRole('link', { name: 'Choose another trial' }).click()
  await expect(page.getByText('2 trials with a replay')).toBeVisible()
  expect(await seriousFaults(page)).toEqual([])
  await page.goto(`/studies/${study}/replay?trial=${bare.root}`)
  await expect(page.getByText(`T${bare.root} has no replay`)).toBeVisible()
})

test('a recording that is no replay is refused in words', async ({ page, bench }) => {
  const study = await prepare(bench, 'No film')
  const response = await fetch(`${bench.url}/api/v1/recordings?name=a.gz`, {
    method: 'POST',
    headers: { 'Content-Type': type },
    body: 'no film at all',
  })
  const { sha256 } = (await response.json()) as { sha256: string }
  await page.goto(`/studies/${study}/replay?recording=${sha256}`)
  await expect(page.getByText('not packed with gzip', { exact: false })).toBeVisible()
})
