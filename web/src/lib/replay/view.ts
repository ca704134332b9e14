/** The live picture of a replay: one drawing for each change. */
import { Studio } from '../scene/studio'
import type { Replay } from './document'
import { extentOf, Stage, type Extent } from './stage'

const FIT = 0.82

export class ReplayView extends Studio {
  private stage: Stage | null = null
  private extent: Extent | null = null

  /** Sets the film; the picture takes in what all of the given films need, so that two can be compared. */
  load(film: Replay, all: Replay[]): void {
    if (this.stage) {
      this.scene.remove(this.stage.group)
      this.stage.dispose()
    }
    this.extent = extentOf(all)
    this.stage = new Stage(film, this.extent)
    this.scene.add(this.stage.group)
    const { centre, radius } = this.extent
    const reach = radius * 1.2
    this.light(centre, centre, reach, reach * 1.5)
    this.request()
  }

  show(time: number, scale: number): void {
    this.stage?.show(time, scale)
    this.request()
  }

  override dispose(): void {
    this.stage?.dispose()
    super.dispose()
  }

  protected draw(): void {
    if (this.extent) this.shoot(this.extent.centre, this.extent.radius, FIT)
  }
}
