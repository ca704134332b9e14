/** Mounts the real map disc with a full synthetic raster and 100,000 synthetic trials, and turns it by a function on window. */
import { flushSync, mount } from 'svelte'
import '../src/lib/tokens.css'
import '../src/lib/base.css'
import { MarkSet } from '../src/lib/plots/marks'
import { outcomes } from '../src/lib/plots/outcomes'
import { OUTSIDE, Raster } from '../src/lib/plots/raster'
import Repaint from './Repaint.svelte'

const size = 161
const headings = 72
const layers = [
  'p',
  'low',
  'high',
  'blurred',
  'mean',
  'mean_low',
  'mean_high',
  'mean_blurred',
  'best',
  'best_low',
  'best_high',
  'best_blurred',
]

/** A smooth made-up map: success leans to one side and turns with the heading. */
function raster(): Raster {
  const n = size * size
  const data = new Uint16Array(n * (4 * headings + 8))
  let at = 0
  for (const layer of layers) {
    const many = /^(mean|best)/.test(layer) ? 1 : headings
    const shift = layer.endsWith('low') ? -1 : layer.endsWith('high') ? 1 : 0
    for (let h = 0; h < many; h++) {
      const turn = (h / many) * 2 * Math.PI
      for (let row = 0; row < size; row++) {
        for (let column = 0; column < size; column++) {
          const x = (2 * (column + 0.5)) / size - 1
          const y = 1 - (2 * (row + 0.5)) / size
          const logit = 1.6 * Math.cos(turn) * x + 1.6 * Math.sin(turn) * y + 1.2 - 2 * (x * x + y * y)
          const spread = shift * (0.5 + 1.4 * Math.hypot(x - 0.4, y))
          data[at++] = Math.hypot(x, y) > 1 ? OUTSIDE : Math.round(65534 / (1 + Math.exp(-(logit + spread))))
        }
      }
    }
  }
  return Raster.decode(data.buffer, { size, headings, layers }, 1)
}

/** Trials spread evenly over the disc and the headings (a Weyl sequence, so that every run draws the same). */
function marks(count: number): MarkSet {
  const columns = {
    trial: [] as number[],
    tilt_deg: [] as number[],
    azimuth_deg: [] as number[],
    heading_deg: [] as number[],
    counted: [] as number[],
    outcomes: outcomes.map((o) => o.id),
  }
  for (let i = 0; i < count; i++) {
    columns.trial.push(i + 1)
    const r = Math.sqrt((i * 0.7548776662466927) % 1)
    columns.tilt_deg.push((2 * Math.asin(r * Math.sin(Math.PI / 6)) * 180) / Math.PI)
    columns.azimuth_deg.push(360 * ((i * 0.5698402909980532) % 1))
    columns.heading_deg.push(360 * ((i * 0.4311) % 1))
    columns.counted.push(i % 3 ? 0 : 1 + (i % 6))
  }
  return new MarkSet(columns, 60, 1)
}

declare global {
  interface Window {
    /** Turns the map to a heading, in the view asked for, and gives the milliseconds until the browser has painted it. */
    turn: (headingDeg: number, view: 'heading' | 'best' | 'mean') => Promise<number>
    ready: { trials: number; bytes: number }
    report: { shown: number; gathered: boolean; hatched: number; milliseconds: number } | null
  }
}

const state = mount(Repaint, {
  target: document.getElementById('page')!,
  props: { raster: raster(), marks: marks(100_000), onreport: (r) => (window.report = r) },
}) as { set: (headingDeg: number, view: 'heading' | 'best' | 'mean') => void }

window.turn = (headingDeg, view) =>
  new Promise((resolve) => {
    const began = performance.now()
    flushSync(() => state.set(headingDeg, view))
    // The frame that shows the change has been handed over when the task after its animation callbacks runs.
    requestAnimationFrame(() => {
      const channel = new MessageChannel()
      channel.port1.onmessage = () => resolve(performance.now() - began)
      channel.port2.postMessage(0)
    })
  })
window.ready = { trials: 100_000, bytes: size * size * (4 * headings + 8) * 2 }
