/** The map that is asked for: fetched with its picture and its trials, shown while a newer one is on its way, and stopped on request. */
import { getMap, getMapMarks, getMapRaster, type MapInfo, type MapQuery } from '$lib/api'
import { announce } from '$lib/announce.svelte'
import { MarkSet } from '$lib/plots/marks'
import { Raster } from '$lib/plots/raster'
import { Work } from '$lib/work.svelte'

export interface ReadyMap {
  query: MapQuery
  info: MapInfo
  raster: Raster
  marks: MarkSet
}

export class Fitting extends Work<ReadyMap> {
  private readonly study: string

  constructor(study: string) {
    super()
    this.study = study
  }

  async ask(query: MapQuery): Promise<void> {
    // Another condition: an old picture beside a new name would mislead.
    if (this.ready && !sameCondition(this.ready.query, query)) this.ready = null
    const drawn = await this.run(async (signal) => {
      const info = await getMap(this.study, query, signal)
      const [bytes, columns] = await Promise.all([
        getMapRaster(this.study, query, signal),
        getMapMarks(this.study, query, signal),
      ])
      return {
        query,
        info,
        raster: Raster.decode(bytes.buffer as ArrayBuffer, info.raster, info.heading_fold),
        marks: new MarkSet(columns, info.tilt_max_deg, info.heading_fold),
      }
    })
    if (drawn) announce(`Map of ${this.ready!.info.trials} trials drawn`)
  }
}

function sameCondition(a: MapQuery, b: MapQuery): boolean {
  return a.hand === b.hand && a.item === b.item && a.setting === b.setting && a.strategy === b.strategy
}
