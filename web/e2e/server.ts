/** A real server on an empty lab for each test file, filled through the interface; and what the pages' tests share. */
import { test as base, expect, type Page, type Request } from '@playwright/test'
import { spawn, type ChildProcess } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

const binary = process.env.HOLDFAST_BIN ?? join(import.meta.dirname, '../../bin/holdfast')

export interface Bench {
  /** The server's address. */
  url: string
  call<T = unknown>(method: string, path: string, body?: unknown): Promise<T>
}

export const test = base.extend<object, { bench: Bench }>({
  bench: [
    // eslint-disable-next-line no-empty-pattern
    async ({}, use) => {
      const lab = mkdtempSync(join(tmpdir(), 'holdfast-e2e-'))
      const { process: server, url } = await serve(lab)
      await use({ url, call: (method, path, body) => call(url, method, path, body) })
      server.kill()
      await new Promise((done) => server.once('exit', done))
      rmSync(lab, { recursive: true, force: true })
    },
    { scope: 'worker', timeout: 60_000 },
  ],
  baseURL: async ({ bench }, use) => use(bench.url),
  // Whatever a test looks at, the page must not stumble meanwhile. A failed test tells what the page showed and what it still
  // waited for; the closing lines of the whole run repeat it.
  page: async ({ page }, use, info) => {
    const stumbles: string[] = []
    const waiting = new Set<Request>()
    page.on('pageerror', (error) => stumbles.push(error.message))
    page.on('request', (request) => waiting.add(request))
    page.on('requestfinished', (request) => waiting.delete(request))
    page.on('requestfailed', (request) => waiting.delete(request))
    await use(page)
    if (info.status !== info.expectedStatus) {
      const shown = await page
        .locator('main')
        .innerText({ timeout: 2000 })
        .catch((cause: unknown) => `nothing readable (${String(cause)})`)
      const asked = [...waiting].map((request) => `${request.method()} ${new URL(request.url()).pathname}`)
      info.annotations.push(
        { type: 'page showed', description: shown.replace(/\s+/g, ' ').slice(0, 700) },
        { type: 'page waited for', description: asked.join(', ') || 'nothing' },
      )
    }
    expect(stumbles, 'errors of the page itself').toEqual([])
  },
})
export { expect }

function serve(lab: string): Promise<{ process: ChildProcess; url: string }> {
  const scenes = join(import.meta.dirname, '../../examples/scenes')
  const server = spawn(binary, ['serve', '--lab', lab, '--listen', '127.0.0.1:0', '--scenes', scenes], {
    stdio: ['ignore', 'pipe', 'pipe'],
  })
  return new Promise((resolve, reject) => {
    let said = ''
    const hear = (chunk: Buffer) => {
      said += String(chunk)
      const url = /http:\/\/127\.0\.0\.1:\d+/.exec(said)?.[0]
      if (url) resolve({ process: server, url })
    }
    server.stdout.on('data', hear)
    server.stderr.on('data', hear)
    server.on('error', reject)
    server.on('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}`)))
  })
}

async function call<T>(url: string, method: string, path: string, body?: unknown): Promise<T> {
  const response = await fetch(`${url}/api/v1${path}`, {
    method,
    headers: { 'Content-Type': 'application/json' },
    body: body === undefined ? undefined : JSON.stringify(body),
  })
  const text = await response.text()
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`)
  return (text ? JSON.parse(text) : null) as T
}

/** Faults that axe calls serious or critical, in words. */
export async function seriousFaults(page: Page): Promise<string[]> {
  const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
  await page.evaluate(axe)
  return page.evaluate(async () => {
    const { axe } = window as unknown as {
      axe: {
        run(): Promise<{
          violations: { id: string; impact: string; help: string; nodes: { html: string }[] }[]
        }>
      }
    }
    const result = await axe.run()
    return result.violations
      .filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`)
  })
}

interface PlannedRun {
  order: number
  orientation: { tilt_deg: number; azimuth_deg: number; roll_deg: number }
  strategy: string
}

/** A hand with plain figures, as the interface takes it. */
export const anyHand = (name: string) => ({
  name,
  actuation: 'air',
  fingers: 3,
  roll_fold: 3,
  mirror: true,
  finger_length_mm: 90,
  palm_diameter_mm: 74,
  opening_max_mm: 120,
  command_unit: 'kPa',
  command_full: 80,
  force_max_N: 10,
  food_contact: true,
})

/** An invented hand, item, setting and planned study; gives the study's name in addresses. */
export async function prepare(bench: Bench, name: string, replicates = 2): Promise<string> {
  const made = async (path: string, thing: object) =>
    bench.call<{ id: string }>('POST', path, thing).then((t) => t.id)
  const hand = await made('/hands', anyHand(`Bellows ${name}`))
  const item = await made('/items', {
    name: `Bun ${name}`,
    shape: 'ellipsoid',
    size_x_mm: 88,
    size_y_mm: 74,
    size_z_mm: 46,
    size_spread: 0.05,
    mass_g: 60,
    mass_spread: 0.05,
    friction: 0.6,
    stiffness_N_per_mm: 0.7,
    damage_force_N: 9,
    late_damage_h: 0,
    turning: { axial: false, fold: 1, mirror: false },
    food: true,
  })
  const setting = await made('/settings', {
    name: `Tray ${name}`,
    support: 'tray',
    wall: true,
    wall_gap_mm: 20,
    edge: false,
    edge_gap_mm: 0,
    friction: 0.4,
    turning: { axial: false, fold: 1, mirror: false },
  })
  const { id } = await bench.call<{ id: string }>('POST', '/studies', {
    name,
    question: 'Which way holds the bun?',
    hands: [hand],
    items: [item],
    settings: [setting],
    strategies: [{ kind: 'free' }, { kind: 'surface-guided' }],
    orientations: { kind: 'even', tilt_max_deg: 50, count: 40 },
    closing_levels: [0.6],
    offset: { kind: 'gaussian', sigma_x_mm: 3, sigma_y_mm: 3 },
    replicates,
    block_size: 40,
    reference: { orientation: { tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 }, strategy: 'free', closing: 0.6 },
    references: 1,
    seed: '11',
    trial_s: 30,
    change_s: 60,
    line_error: { angle_deg: 4, position_mm: 2 },
    target: 0.8,
  })
  await bench.call('POST', `/studies/${id}/plan`)
  return id
}

/** Carries out planned runs by a plain rule that prefers small tilts and the guided strategy; a counter stands for luck. */
export async function carryOut(bench: Bench, study: string, howMany: number): Promise<void> {
  const { runs } = await bench.call<{ runs: PlannedRun[] }>('GET', `/studies/${study}/plan`)
  let luck = 5
  for (const run of runs.slice(0, howMany)) {
    luck = (luck * 75 + 74) % 65537
    const chance = (run.strategy === 'free' ? 0.75 : 0.97) - 0.007 * run.orientation.tilt_deg
    const outcome = luck / 65537 < chance ? 'held' : ['slipped', 'missed', 'dropped', 'pushed'][luck % 4]
    await bench.call('POST', `/studies/${study}/trials`, {
      key: `rule-${run.order}`,
      order: run.order,
      outcome,
    })
  }
}

/** The roll and the table that the shipped files for simulation are called after; tests of one server share them. */
async function rollOnTable(bench: Bench): Promise<{ item: { id: string }; setting: { id: string } }> {
  const turning = { axial: false, fold: 1, mirror: false }
  const known = async (path: string, id: string) =>
    (await bench.call<{ id: string }[]>('GET', path)).find((one) => one.id === id)
  const item =
    (await known('/items', 'roll')) ??
    (await bench.call<{ id: string }>('POST', '/items', {
      name: 'Roll',
      shape: 'ellipsoid',
      size_x_mm: 90,
      size_y_mm: 72,
      size_z_mm: 52,
      size_spread: 0.07,
      mass_g: 58,
      mass_spread: 0.08,
      friction: 0.55,
      stiffness_N_per_mm: 0.9,
      damage_force_N: 12,
      late_damage_h: 0,
      turning,
      food: true,
    }))
  const setting =
    (await known('/settings', 'table')) ??
    (await bench.call<{ id: string }>('POST', '/settings', {
      name: 'Table',
      support: 'table',
      wall: false,
      wall_gap_mm: 0,
      edge: false,
      edge_gap_mm: 0,
      friction: 0.4,
      turning,
    }))
  return { item, setting }
}

/** A study of a hand on the roll on the table, all called as the shipped files for simulation are. */
export async function describedStudy(
  bench: Bench,
  hand: object,
  asked: object,
): Promise<{ hand: string; study: string }> {
  const made = await bench.call<{ id: string }>('POST', '/hands', hand)
  const { item, setting } = await rollOnTable(bench)
  expect([item.id, setting.id]).toEqual(['roll', 'table'])
  const study = await bench.call<{ id: string }>('POST', '/studies', {
    hands: [made.id],
    items: [item.id],
    settings: [setting.id],
    strategies: [{ kind: 'free' }],
    closing_levels: [0.8],
    reference: { orientation: { tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 }, strategy: 'free', closing: 0.8 },
    references: 0,
    seed: '11',
    trial_s: 30,
    change_s: 60,
    line_error: { angle_deg: 4, position_mm: 2 },
    target: 0.8,
    ...asked,
  })
  return { hand: made.id, study: study.id }
}
