/** What changed from one entry of a trial's history to the next, in words. */
import type { NewTrial, Orientation, Trial } from '$lib/api'
import { number } from '$lib/format'
import { outcome } from '$lib/plots/outcomes'

export interface Change {
  label: string
  from: string
  to: string
}

/** An orientation as its three angles. */
export function angles(o: Orientation | undefined | null): string {
  if (!o) return 'not measured'
  return `tilt ${number(o.tilt_deg)}°, azimuth ${number(o.azimuth_deg)}°, roll ${number(o.roll_deg)}°`
}

const withUnit = (value: number | undefined | null, unit: string) =>
  value === undefined || value === null ? 'none' : `${number(value, 2)} ${unit}`.trim()

const told: { label: string; show: (t: Trial) => string }[] = [
  { label: 'Outcome', show: (t) => outcome(t.outcome).label },
  { label: 'Reason why it does not count', show: (t) => t.void_reason || 'none' },
  { label: 'Hand', show: (t) => t.hand },
  { label: 'Item', show: (t) => t.item },
  { label: 'Setting', show: (t) => t.setting },
  { label: 'Strategy', show: (t) => t.strategy },
  { label: 'Orientation asked', show: (t) => angles(t.orientation) },
  { label: 'Orientation measured', show: (t) => angles(t.measured) },
  { label: 'Closing command', show: (t) => withUnit(t.closing, '') },
  { label: 'Offset x', show: (t) => withUnit(t.offset_x_mm, 'mm') },
  { label: 'Offset y', show: (t) => withUnit(t.offset_y_mm, 'mm') },
  { label: 'Offset z', show: (t) => withUnit(t.offset_z_mm, 'mm') },
  { label: 'Peak force', show: (t) => withUnit(t.peak_force_N, 'N') },
  { label: 'Duration', show: (t) => withUnit(t.duration_s, 's') },
  { label: 'Block', show: (t) => (t.block ? String(t.block) : 'none') },
  { label: 'Operator', show: (t) => t.operator || 'none' },
  { label: 'Note', show: (t) => t.note || 'none' },
  { label: 'Recordings', show: (t) => (t.recordings ?? []).map((r) => r.name).join(', ') || 'none' },
]

/** All that an entry says, label by label. */
export function facts(trial: Trial): { label: string; text: string }[] {
  return told
    .map((f) => ({ label: f.label, text: f.show(trial) }))
    .filter((f) => f.text !== 'none' && f.text !== 'not measured')
}

/** What the later entry says differently. */
export function changes(earlier: Trial, later: Trial): Change[] {
  return told
    .map((f) => ({ label: f.label, from: f.show(earlier), to: f.show(later) }))
    .filter((c) => c.from !== c.to)
}

/** A new entry that repeats all that the newest one says, ready to be corrected. The quaternion is what counts. */
export function correctionOf(newest: Trial, key: string): NewTrial {
  const pose = (o: Orientation | undefined): Orientation | undefined =>
    o && (o.qw === undefined ? o : { qw: o.qw, qx: o.qx, qy: o.qy, qz: o.qz })
  return {
    key,
    corrects: newest.id,
    order: newest.order,
    block: newest.block,
    hand: newest.hand,
    item: newest.item,
    setting: newest.setting,
    strategy: newest.strategy,
    orientation: pose(newest.orientation),
    measured: pose(newest.measured),
    closing: newest.closing,
    offset_x_mm: newest.offset_x_mm,
    offset_y_mm: newest.offset_y_mm,
    offset_z_mm: newest.offset_z_mm,
    peak_force_N: newest.peak_force_N,
    duration_s: newest.duration_s,
    outcome: newest.outcome as NewTrial['outcome'],
    void_reason: newest.void_reason,
    operator: newest.operator,
    note: newest.note,
    recordings: newest.recordings?.map((r) => r.sha256),
    started_at: newest.started_at,
  }
}
