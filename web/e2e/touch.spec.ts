import { expect, seriousFaults, anyHand, test, type Bench } from './server'
import type { Page } from '@playwright/test'

test.use({
  permissions: ['microphone'],
  launchOptions: {
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    // A microphone that beeps stands in for a finger that is tapped.
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--use-fake-device-for-media-stream',
      '--use-fake-ui-for-media-stream',
    ],
  },
})

interface Knock {
  rate_hz: number
  position_mm: number
  samples: number[]
}

/** A WAV file of 16 bits of what a knock sounds like, without the quiet around it. */
function wav(knock: Knock): Buffer {
  const sound = knock.samples.slice(2880, 2880 + 2400)
  const bytes = Buffer.alloc(44 + 2 * sound.length)
  bytes.write('RIFF', 0)
  bytes.writeUInt32LE(36 + 2 * sound.length, 4)
  bytes.write('WAVEfmt ', 8)
  bytes.writeUInt32LE(16, 16)
  bytes.writeUInt16LE(1, 20)
  bytes.writeUInt16LE(1, 22)
  bytes.writeUInt32LE(knock.rate_hz, 24)
  bytes.writeUInt32LE(2 * knock.rate_hz, 28)
  bytes.writeUInt16LE(2, 32)
  bytes.writeUInt16LE(16, 34)
  bytes.write('data', 36)
  bytes.writeUInt32LE(2 * sound.length, 40)
  sound.forEach((v, i) => bytes.writeInt16LE(v, 44 + 2 * i))
  return bytes
}

const knockOf = (bench: Bench, n: number) => bench.call<Knock>('GET', `/invented-knocks/${n}`)

/** A hand with so many clips of two days, those at the tip and at the root told apart if so wanted; half of them touched by a spoon. */
async function withClips(bench: Bench, name: string, clips: number, zoned = true): Promise<string> {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand(name))
  for (let n = 1; n <= clips; n++) {
    const knock = await knockOf(bench, n)
    const said = new URLSearchParams({
      key: `k${n}`,
      zone: !zoned ? '' : knock.position_mm < 53 ? 'root' : 'tip',
      position_mm: String(knock.position_mm),
      session: n % 2 ? 'monday' : 'tuesday',
      specimen: n % 4 < 2 ? 'finger 1' : 'finger 2',
      snr_dB: '26',
      object: n % 8 < 4 ? 'spoon' : 'pencil',
      by: 'ada',
    })
    const answer = await fetch(`${bench.url}/api/v1/hands/${id}/touch/clips?${said}`, {
      method: 'POST',
      headers: { 'Content-Type': 'audio/wav' },
      body: new Uint8Array(wav(knock)),
    })
    expect(answer.status).toBe(201)
  }
  return id
}

/** Learns from the hand's clips without the page. */
async function learn(bench: Bench, hand: string): Promise<void> {
  await bench.call('POST', `/hands/${hand}/touch/training`, {})
  await expect
    .poll(
      () => bench.call<{ model?: object }>('GET', `/hands/${hand}/touch`).then((s) => s.model !== undefined),
      {
        timeout: 60_000,
      },
    )
    .toBe(true)
}

const finger = (page: Page) => page.getByRole('img', { name: /The finger from root to tip/ })

test('a hand without clips says what to do, and a knock is heard but not placed', async ({ page, bench }) => {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand('Bare'))
  await page.goto('/hands')
  await page.getByRole('link', { name: /Bare/ }).first().click()
  await page.getByRole('link', { name: 'Where a finger was touched, by sound' }).click()
  await expect(page).toHaveURL(`/hands/${id}/touch`)
  await expect(page.getByText('No clips of this hand yet')).toBeVisible()
  await expect(page.getByRole('button', { name: 'Learn from the clips' })).toBeDisabled()
  await page.getByRole('button', { name: 'Knock' }).click()
  await expect(finger(page)).toHaveAccessibleName(/Something touched; nothing was learnt yet/)
  expect(await seriousFaults(page)).toEqual([])
})

test('clips are learnt from: progress, evidence, then a knock is told with its true place', async ({
  page,
  bench,
}) => {
  const hand = await withClips(bench, 'Learner', 48)
  await page.goto(`/hands/${hand}/touch`)
  await expect(page.getByText('Nothing was learnt yet')).toBeVisible()
  await page.getByRole('button', { name: 'Learn from the clips' }).click()
  await expect(page.getByText(/On a finger that was never heard, \d+.*% of touches are told/)).toBeVisible({
    timeout: 60_000,
  })
  await expect(
    page.getByRole('table', { name: 'Told right, three ways of asking; 90 % intervals' }),
  ).toContainText('split by chance')
  await expect(page.getByRole('table', { name: 'Touched and told, clips held out by finger' })).toBeVisible()
  const changes = page.getByRole('table', { name: 'What a new object, pressure or day costs' })
  await expect(changes.getByRole('row', { name: /touched by spoon/ })).toBeVisible()

  const noise = page.getByRole('img', { name: /Clips held out by finger under noise/ })
  await expect(noise).toHaveAccessibleName(
    / 0 dB: [\d<>.]+.% right, [\d<>.]+.% not sure; .*; 60 dB: .*The clips themselves are 26 dB above their own noise/,
  )
  await page.getByText('Under noise, as a table').click()
  const underNoise = page.getByRole('table', { name: 'Held-out clips under noise; 90 % intervals' })
  await expect(underNoise.getByRole('row')).toHaveCount(7)

  await page.getByRole('button', { name: 'Knock' }).click()
  await expect(finger(page)).toHaveAccessibleName(/(Told: (root|tip)|Not sure).*It really was at \d+ mm/)
  await page.getByRole('button', { name: 'Knock' }).click()
  const heard = page.getByRole('table', { name: 'Touches heard, newest first' })
  await expect(heard.getByRole('row', { name: /touch 2/ })).toBeVisible()
  await heard.getByRole('button', { name: 'touch 1' }).click()
  await expect(heard.getByRole('button', { name: 'touch 1' })).toHaveAttribute('aria-pressed', 'true')
  const model = await page.request.get(`/api/v1/hands/${hand}/touch/model.json`)
  expect(await model.text()).toContain('holdfast touch model')
  expect(await seriousFaults(page)).toEqual([])
})

test('without zones the place itself is told, with its probability by mm', async ({ page, bench }) => {
  const hand = await withClips(bench, 'Places', 32, false)
  await learn(bench, hand)
  await page.goto(`/hands/${hand}/touch`)
  await expect(page.getByText(/On a finger that was never heard, places are off by [\d.]+.mm/)).toBeVisible()
  await page.getByRole('button', { name: 'Knock' }).click()
  await expect(finger(page)).toHaveAccessibleName(
    /(Place \d+.mm, -?\d+ to \d+ mm \(90.% interval\)|Not sure)/,
  )
  await expect(page.getByText(/[\d.]+ % (per mm|probability)/)).toBeVisible()
  await expect(page.getByRole('columnheader', { name: 'Probability' })).toHaveCount(0)
})

test('clips are labelled by key, taken back, and the record keeps all of it', async ({ page, bench }) => {
  const hand = await withClips(bench, 'Labelled', 12)
  const clips = await bench.call<{ clips: { id: number; zone: string }[] }>('GET', `/hands/${hand}/touch`)
  const [first, second] = clips.clips
  await page.goto(`/hands/${hand}/touch`)
  const sheet = (id: number) => page.getByRole('region', { name: `Clip ${id}`, exact: true })
  await expect(sheet(first!.id).getByRole('img', { name: /Spectrum over time of clip/ })).toBeVisible()
  await expect(sheet(first!.id).getByRole('img', { name: /Course of clip/ })).toBeVisible()

  await page.keyboard.press('x')
  await expect(page.getByRole('alert')).toContainText('Say who labels')
  await page.getByLabel('Who labels').fill('bo')
  await page.getByRole('heading', { name: 'Clips' }).click()
  await page.keyboard.press('x')
  await expect(sheet(second!.id)).toBeVisible()
  await expect(page.getByRole('button', { name: 'Left out 1' })).toBeVisible()
  await page.keyboard.press('u')
  await expect(page.getByRole('button', { name: 'Left out 0' })).toBeVisible()
  await expect(sheet(first!.id)).toBeVisible()
  const zone = page.getByRole('button', { name: /^1 / })
  const name = (await zone.innerText()).replace(/^1\s+/, '')
  await page.keyboard.press('1')
  await expect(sheet(second!.id)).toBeVisible()
  await page.keyboard.press('b')
  await expect(sheet(first!.id).getByText('4 labels on record')).toBeVisible()
  await sheet(first!.id).getByText('4 labels on record').click()
  await expect(sheet(first!.id).getByRole('listitem').first()).toContainText(`${name}, `)
  await expect(sheet(first!.id).getByRole('listitem').first()).toContainText('bo')
  await expect(sheet(first!.id).getByRole('listitem').last()).toContainText('ada')
})

test('a label answers with what changed, and another window follows', async ({ page, context, bench }) => {
  const hand = await withClips(bench, 'Twofold', 16)
  const { clips } = await bench.call<{ clips: { id: number }[] }>('GET', `/hands/${hand}/touch`)
  const other = await context.newPage()
  for (const p of [page, other]) await p.goto(`/hands/${hand}/touch`)
  const row = (p: Page, n: number) =>
    p.getByRole('table', { name: 'Clips of this hand' }).getByRole('row', { name: `clip ${clips[n]!.id} ` })
  await expect(row(other, 1)).toContainText('finger')

  const told: number[] = []
  for (const p of [page, other])
    p.on('response', async (answer) => {
      if (/\/touch(\/labels)?\?after=[1-9]/.test(answer.url()))
        told.push(((await answer.json()) as { clips: object[] }).clips.length)
    })
  await page.getByLabel('Who labels').fill('bo')
  await page.getByRole('heading', { name: 'Clips', exact: true }).click()
  await page.keyboard.press('x')
  await expect(row(page, 0)).toContainText('left out')
  await expect(row(other, 0)).toContainText('left out')
  await other.getByLabel('Who labels').fill('cy')
  await other.getByLabel('Zone in words').fill('flank')
  await other.getByRole('button', { name: 'Save this label' }).click()
  await expect(row(other, 0)).toContainText('flank')
  await expect(row(page, 0)).toContainText('flank')
  for (const p of [page, other]) {
    await expect(p.getByRole('button', { name: 'All 16' })).toBeVisible()
    await expect(p.getByRole('button', { name: 'Left out 0' })).toBeVisible()
  }
  expect(told.length).toBeGreaterThanOrEqual(4)
  expect(Math.max(...told)).toBe(1)
  // What is kept elsewhere comes too.
  const added = await fetch(
    `${bench.url}/api/v1/hands/${hand}/touch/clips?key=new&zone=tip&session=friday&specimen=1&by=ada`,
    {
      method: 'POST',
      headers: { 'Content-Type': 'audio/wav' },
      body: new Uint8Array(wav(await knockOf(bench, 900))),
    },
  )
  expect(added.status).toBe(201)
  for (const p of [page, other]) await expect(p.getByRole('button', { name: 'All 17' })).toBeVisible()
})

test('many clips are listed in pages, and the next clip opens its page', async ({ page, bench }) => {
  const hand = await withClips(bench, 'Many', 102)
  const { clips } = await bench.call<{ clips: { id: number }[] }>('GET', `/hands/${hand}/touch`)
  const id = (n: number) => clips[n - 1]!.id
  await page.goto(`/hands/${hand}/touch?clip=${id(100)}`)
  const open = (n: number) => page.getByRole('button', { name: `clip ${id(n)}`, exact: true })
  await expect(open(100)).toHaveAttribute('aria-pressed', 'true')
  await expect(open(101)).toHaveCount(0)
  await page.getByRole('heading', { name: 'Clips', exact: true }).click()
  await page.keyboard.press('n')
  await expect(open(101)).toHaveAttribute('aria-pressed', 'true')
  await expect(page.getByText('101–102 of 102 clips')).toBeVisible()
  await page.getByRole('button', { name: 'First' }).click()
  await expect(open(1)).toBeVisible()
})

test('files are kept as clips, and one that is no sound says why', async ({ page, bench }) => {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand('Files'))
  await page.goto(`/hands/${id}/touch`)
  await page.getByLabel('WAV files, one touch each').setInputFiles([
    { name: 'good.wav', mimeType: 'audio/wav', buffer: wav(await knockOf(bench, 1)) },
    { name: 'torn.wav', mimeType: 'audio/wav', buffer: wav(await knockOf(bench, 2)).subarray(0, 30) },
  ])
  await page.getByLabel('Zone touched').fill('tip')
  await page.getByRole('button', { name: 'Keep 2 clips' }).click()
  await expect(page.getByText('1 clip kept.')).toBeVisible()
  await expect(page.getByRole('alert')).toContainText(/torn\.wav: .*byte/)
  await page
    .getByLabel('WAV files, one touch each')
    .setInputFiles([{ name: 'again.wav', mimeType: 'audio/wav', buffer: wav(await knockOf(bench, 1)) }])
  await page.getByRole('button', { name: 'Keep 1 clip' }).click()
  await expect(page.getByText('1 sound was here already and keeps its label')).toBeVisible()
  await expect(
    page.getByRole('table', { name: 'Clips of this hand' }).getByRole('row', { name: /tip/ }),
  ).toBeVisible()
})

test('files are listened to; a text and a silent file say what to do', async ({ page, bench }) => {
  const hand = await withClips(bench, 'Heard', 24)
  await learn(bench, hand)
  await page.goto(`/hands/${hand}/touch`)
  await page.getByRole('button', { name: 'WAV files' }).click()
  const files = page.getByLabel('WAV files to listen to')
  await files.setInputFiles({
    name: 'note.wav',
    mimeType: 'audio/wav',
    buffer: Buffer.from('no sound at all'),
  })
  await expect(page.getByRole('alert')).toContainText('note.wav is no WAV file')
  const silent = wav({ rate_hz: 48000, position_mm: 0, samples: Array<number>(5300).fill(0) })
  await files.setInputFiles({ name: 'silent.wav', mimeType: 'audio/wav', buffer: silent })
  await expect(page.getByRole('alert')).toContainText('Nothing touched in this sound')
  await files.setInputFiles({
    name: 'knock.wav',
    mimeType: 'audio/wav',
    buffer: wav(await knockOf(bench, 40)),
  })
  await expect(page.getByRole('button', { name: 'touch 1' })).toBeVisible()
  const slow = wav({ ...(await knockOf(bench, 41)), rate_hz: 16000 })
  await files.setInputFiles({ name: 'slow.wav', mimeType: 'audio/wav', buffer: slow })
  await expect(page.getByRole('alert')).toContainText('the model was trained at 48000 Hz')
})

test('the microphone is listened to, and what it hears can be kept', async ({ page, bench }) => {
  const { id } = await bench.call<{ id: string }>('POST', '/hands', anyHand('Miked'))
  await page.goto(`/hands/${id}/touch`)
  await page.getByRole('button', { name: 'Microphone' }).click()
  await expect(page.getByText('The browser will ask whether this page may use the microphone.')).toBeVisible()
  await page.getByLabel('Keep every touch as a clip').check()
  await page.getByRole('button', { name: 'Listen at 48 kHz' }).click()
  await expect(page.getByRole('meter', { name: 'Loudness of the microphone' })).toBeVisible()
  await expect(page.getByRole('table', { name: 'Clips of this hand' })).toBeVisible()
  await page.getByRole('button', { name: 'Stop listening' }).click()
  await expect(page.getByRole('button', { name: 'Listen at 48 kHz' })).toBeVisible()
  await expect(page.getByRole('img', { name: /Spectrum over time of clip/ })).toBeVisible()
})
