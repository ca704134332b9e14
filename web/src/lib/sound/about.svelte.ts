/** What is said of clips that are about to be kept. */
import type { TouchAbout } from '$lib/api'

const today = () => new Date().toISOString().slice(0, 10)

export class About {
  zone = $state('')
  position_mm = $state<number | null>(null)
  session = $state(today())
  specimen = $state('finger 1')
  object = $state('')
  pressure_kPa = $state<number | null>(null)

  /** What stands in the way of keeping a clip; empty: nothing. */
  get fault(): string {
    if (!this.session.trim() || !this.specimen.trim())
      return 'Say the day or mounting and which finger: clips of one day, and of one finger, resemble each other.'
    if (Number.isNaN(this.position_mm) || Number.isNaN(this.pressure_kPa)) return 'A number can not be read.'
    return ''
  }

  /** The same as the interface takes it. */
  toSend(by: string): TouchAbout {
    return {
      zone: this.zone.trim(),
      position_mm: this.position_mm ?? undefined,
      session: this.session.trim(),
      specimen: this.specimen.trim(),
      object: this.object.trim(),
      pressure_kPa: this.pressure_kPa ?? undefined,
      by: by.trim(),
    }
  }
}
