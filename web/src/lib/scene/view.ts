/** The live 3-D view: camera, light, drag and keys. It draws when something changed, never in a loop. */
import * as THREE from 'three'
import { DEG } from '../plots/geometry'
import { buildObjects, disposeAll } from './build'
import { frameOf, labelPlaces } from './guides'
import { usualView, type ViewAngles } from './angles'
import type { SceneModel } from './model'

/** How close the picture comes to its frame: 1 keeps the whole surrounding ball in sight from every side. */
const FIT = 0.86

/** A label on the picture, in CSS pixels from its top left corner. */
export interface Label {
  text: string
  x: number
  y: number
}

export class SceneView {
  private readonly renderer: THREE.WebGLRenderer
  private readonly scene = new THREE.Scene()
  private readonly camera = new THREE.PerspectiveCamera(26, 1, 10, 8000)
  private objects: THREE.Group | null = null
  private model: SceneModel | null = null
  private angles: ViewAngles = usualView
  private frame = 0
  private sun: THREE.DirectionalLight
  private readonly onLabels: (labels: Label[]) => void
  /** Pictures drawn so far; tests read it to know that nothing runs idle. */
  drawn = 0

  /** Throws when the browser has no WebGL. */
  constructor(canvas: HTMLCanvasElement, onLabels: (labels: Label[]) => void) {
    this.renderer = new THREE.WebGLRenderer({
      canvas,
      antialias: true,
      alpha: true,
      powerPreference: 'low-power',
    })
    this.renderer.shadowMap.enabled = true
    this.renderer.shadowMap.type = THREE.PCFShadowMap
    this.renderer.outputColorSpace = THREE.SRGBColorSpace
    this.onLabels = onLabels
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0xf6f2e8, 2.35))
    this.sun = new THREE.DirectionalLight(0xffffff, 1.5)
    this.sun.castShadow = true
    this.sun.shadow.mapSize.set(1024, 1024)
    this.sun.shadow.radius = 5
    this.sun.shadow.bias = -0.0006
    this.sun.shadow.normalBias = 1.2
    this.scene.add(this.sun, this.sun.target)
    this.camera.up.set(0, 0, 1)
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
    this.sun.position.set(r * 0.7, -r * 1.1, r * 2.2)
    this.sun.target.position.set(0, 0, model.aim[2])
    const shadow = this.sun.shadow.camera
    shadow.left = shadow.bottom = -r * 1.4
    shadow.right = shadow.top = r * 1.4
    shadow.near = 1
    shadow.far = r * 6
    shadow.updateProjectionMatrix()
    this.request()
  }

  look(angles: ViewAngles): void {
    this.angles = angles
    this.request()
  }

  resize(width: number, height: number): void {
    if (width < 2 || height < 2) return
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio || 1))
    this.renderer.setSize(width, height, false)
    this.camera.aspect = width / height
    this.camera.updateProjectionMatrix()
    this.request()
  }

  /** GPU memory in use, for tests. */
  get memory(): { geometries: number; textures: number } {
    return this.renderer.info.memory
  }

  dispose(): void {
    cancelAnimationFrame(this.frame)
    if (this.objects) disposeAll(this.objects)
    this.sun.shadow.map?.dispose()
    this.sun.dispose()
    this.renderer.dispose()
    this.renderer.forceContextLoss()
  }

  private request(): void {
    if (this.frame) return
    this.frame = requestAnimationFrame(() => {
      this.frame = 0
      this.draw()
    })
  }

  private draw(): void {
    if (!this.model) return
    const { turnDeg, heightDeg, zoom } = this.angles
    const size = this.renderer.getSize(new THREE.Vector2())
    const model = this.model
    const { centre, radius } = frameOf(model)
    const target = new THREE.Vector3(...centre)
    const narrow = Math.min(1, size.x / Math.max(1, size.y))
    const distance = (radius * zoom * FIT) / (Math.sin((this.camera.fov / 2) * DEG) * narrow)
    const [t, h] = [turnDeg * DEG, heightDeg * DEG]
    this.camera.position.set(
      target.x + distance * Math.cos(h) * Math.cos(t),
      target.y + distance * Math.cos(h) * Math.sin(t),
      target.z + distance * Math.sin(h),
    )
    this.camera.lookAt(target)
    this.renderer.render(this.scene, this.camera)
    this.drawn++
    this.onLabels(
      labelPlaces(model).map(({ text, at }) => {
        const p = new THREE.Vector3(...at).project(this.camera)
        return { text, x: ((p.x + 1) / 2) * size.x, y: ((1 - p.y) / 2) * size.y }
      }),
    )
  }
}
