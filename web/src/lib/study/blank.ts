/** What a new study begins with: values that make a sensible first study on a bench. */
import type { Draft, Study } from '$lib/api'

export function blankStudy(): Draft<Study> {
  return {
    name: '',
    question: '',
    hands: [],
    items: [],
    settings: [],
    strategies: [{ kind: 'free' }],
    orientations: {
      kind: 'even',
      tilt_max_deg: 45,
      count: 48,
      tilts_deg: [0, 20, 40],
      azimuths: [8],
      rolls_deg: [0, 45, 90, 135],
    },
    closing_levels: [0.6],
    offset: { kind: 'none', sigma_x_mm: 3, sigma_y_mm: 3, radius_mm: 5 },
    replicates: 2,
    block_size: 40,
    reference: { orientation: { tilt_deg: 0, azimuth_deg: 0, roll_deg: 0 }, strategy: 'free', closing: 0.6 },
    references: 1,
    seed: '',
    trial_s: 40,
    change_s: 300,
    line_error: { angle_deg: 5, position_mm: 3 },
    target: 0.95,
    note: '',
  }
}

export const strategyKinds = [
  { kind: 'free', text: 'touch nothing but the item' },
  { kind: 'surface-guided', text: 'the fingers slide along the support' },
  { kind: 'wall-guided', text: 'push the item to a wall and close against it' },
  { kind: 'edge-pull', text: 'pull it over an edge and turn under' },
  { kind: 'scoop', text: 'slide one finger under it' },
] as const

export type StrategyKind = (typeof strategyKinds)[number]['kind']
