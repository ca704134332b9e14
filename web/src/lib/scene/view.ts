/** The live 3-D view of hand, item and setting. */
import * as THREE from 'three'
import { buildObjects, disposeAll } from './build'
import { frameOf, labelPlaces } from './guides'
import type { SceneModel } from './model'
import { Studio } from './studio'

const FIT = 0.86

/** A label on the picture, in CSS pixels from its top left corner. */
export interface Label {
  text: string
  x: number
  y: number
}

export class SceneView extends Studio {
  private objects: THREE.Group | null = null
  private model: SceneModel | null = null
  private readonly onLabels: (labels: Label[]) => void

  /** Throws when the browser has no WebGL. */
  constructor(canvas: HTMLCanvasElement, onLabels: (labels: Label[]) => void) {
    super(canvas)
    this.onLabels = onLabels
  }

  show(model: SceneModel): void {
    if (this.objects) {
      this.scene.remove(this.objects)
      disposeAll(this.objects)
    }
    this.model = model
    this.objects = buildObjects(model)
    this.scene.add(this.objects)
    const r = model.reach
    this.light(new THREE.Vector3(0, 0, model.aim[2]), new THREE.Vector3(), r, r * 1.4)
    this.request()
  }

  override dispose(): void {
    if (this.objects) disposeAll(this.objects)
    super.dispose()
  }

  protected draw(): void {
    if (!this.model) return
    const { centre, radius } = frameOf(this.model)
    this.shoot(new THREE.Vector3(...centre), radius, FIT)
    const size = this.size()
    this.onLabels(
      labelPlaces(this.model).map(({ text, at }) => {
        const p = new THREE.Vector3(...at).project(this.camera)
        return { text, x: ((p.x + 1) / 2) * size.x, y: ((1 - p.y) / 2) * size.y }
      }),
    )
  }
}
