// Fills an empty lab through the interface: an invented bakery, one study with trials, one draft. Run by the browser
// tests' fixture; by hand: node e2e/seed.mjs http://127.0.0.1:8420
import { pathToFileURL } from 'node:url'

async function call(base, method, path, body, headers = {}) {
  const response = await fetch(base + '/api/v1' + path, {
    method,
    headers: { 'Content-Type': 'application/json', ...headers },
    body: body === undefined ? undefined : JSON.stringify(body),
  })
  const text = await response.text()
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text}`)
  return text ? JSON.parse(text) : null
}

const hand = {
  name: 'Two-finger glider',
  actuation: 'motor',
  fingers: 2,
  roll_fold: 2,
  mirror: true,
  finger_length_mm: 85,
  palm_diameter_mm: 60,
  opening_max_mm: 95,
  command_unit: 'mm',
  command_full: 22,
  force_max_N: 14,
  food_contact: true,
}
const items = [
  {
    name: 'Oat roll',
    shape: 'ellipsoid',
    size_x_mm: 86,
    size_y_mm: 78,
    size_z_mm: 48,
    size_spread: 0.06,
    mass_g: 62,
    mass_spread: 0.05,
    friction: 0.6,
    stiffness_N_per_mm: 0.8,
    damage_force_N: 12,
    late_damage_h: 2,
    turning: { axial: true, fold: 1, mirror: true },
    food: true,
  },
  {
    name: 'Butter croissant',
    shape: 'crescent',
    size_x_mm: 140,
    size_y_mm: 70,
    size_z_mm: 48,
    size_spread: 0.08,
    mass_g: 66,
    mass_spread: 0.08,
    friction: 0.5,
    stiffness_N_per_mm: 0.5,
    damage_force_N: 7,
    late_damage_h: 0,
    turning: { axial: false, fold: 1, mirror: true },
    food: true,
  },
]
const settings = [
  {
    name: 'Open conveyor',
    support: 'conveyor',
    wall: false,
    wall_gap_mm: 0,
    edge: false,
    edge_gap_mm: 0,
    friction: 0.4,
    turning: { axial: true, fold: 1, mirror: true },
  },
  {
    name: 'Tray with wall',
    support: 'tray',
    wall: true,
    wall_gap_mm: 15,
    edge: false,
    edge_gap_mm: 0,
    friction: 0.35,
    turning: { axial: false, fold: 1, mirror: true },
  },
]
const study = {
  name: 'Rolls from the belt',
  question: 'Which tilt and roll picks an oat roll from the moving belt without bruising it?',
  hands: ['two-finger-glider'],
  items: ['oat-roll'],
  settings: ['open-conveyor'],
  strategies: [{ kind: 'free' }, { kind: 'surface-guided' }],
  orientations: { kind: 'rings', tilts_deg: [0, 20, 40], azimuths: [1, 6, 8], rolls_deg: [0, 45, 90, 135] },
  closing_levels: [0.6],
  offset: { kind: 'gaussian', sigma_x_mm: 4, sigma_y_mm: 4 },
  replicates: 2,
  block_size: 30,
  reference: { orientation: { tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 }, strategy: 'free', closing: 0.6 },
  references: 1,
  seed: '20251',
  trial_s: 35,
  change_s: 240,
  line_error: { angle_deg: 4, position_mm: 3 },
  target: 0.9,
}

/** Fills the lab; trials: how many planned runs to carry out. */
export async function seed(base, { trials = 60 } = {}) {
  await call(base, 'POST', '/hands', hand)
  for (const item of items) await call(base, 'POST', '/items', item)
  for (const setting of settings) await call(base, 'POST', '/settings', setting)
  const { id } = await call(base, 'POST', '/studies', study)
  await call(base, 'POST', `/studies/${id}/plan`)
  const plan = await call(base, 'GET', `/studies/${id}/plan`)
  // Outcomes from a plain rule with a counter for luck, so that every run of the tests sees the same.
  let luck = 7
  for (const run of plan.runs.slice(0, trials)) {
    luck = (luck * 75 + 74) % 65537
    const chance = 0.95 - 0.012 * (run.orientation.tilt_deg ?? 0)
    const outcome = luck / 65537 < chance ? 'held' : ['slipped', 'missed', 'dropped', 'pushed'][luck % 4]
    await call(base, 'POST', `/studies/${id}/trials`, {
      key: `seed-${run.order}`,
      order: run.order,
      outcome,
      peak_force_N: 5 + (luck % 30) / 10,
      operator: 'bench 1',
    })
  }
  await call(base, 'POST', '/studies', {
    ...study,
    name: 'Croissants along the wall',
    question: 'Does the wall help with croissants?',
    items: ['butter-croissant'],
    settings: ['tray-with-wall'],
    strategies: [{ kind: 'free' }, { kind: 'wall-guided' }],
    orientations: { kind: 'even', tilt_max_deg: 45, count: 60 },
    seed: '77',
  })
  return { study: id }
}

if (process.argv[1] && import.meta.url === pathToFileURL(process.argv[1]).href) {
  console.log(await seed(process.argv[2] ?? 'http://127.0.0.1:8420'))
}
