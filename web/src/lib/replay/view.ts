/** The live picture of a replay: camera, light, and one drawing for each change. */
import * as THREE from 'three'
import { DEG } from '../plots/geometry'
import type { ViewAngles } from '../scene/angles'
import type { Replay } from './document'
import { extentOf, Stage, type Extent } from './stage'

const FIT = 0.82

export class ReplayView {
  private readonly renderer: THREE.WebGLRenderer
  private readonly scene = new THREE.Scene()
  private readonly camera = new THREE.PerspectiveCamera(26, 1, 10, 8000)
  private readonly sun = new THREE.DirectionalLight(0xffffff, 1.5)
  private stage: Stage | null = null
  private extent: Extent | null = null
  private angles: ViewAngles = { turnDeg: -60, heightDeg: 20, zoom: 1 }
  private frame = 0
  /** Pictures drawn so far; tests read it to know that nothing runs idle. */
  drawn = 0

  /** Throws when the browser has no WebGL. */
  constructor(canvas: HTMLCanvasElement) {
    this.renderer = new THREE.WebGLRenderer({
      canvas,
      antialias: true,
      alpha: true,
      powerPreference: 'low-power',
    })
    this.renderer.shadowMap.enabled = true
    this.renderer.shadowMap.type = THREE.PCFShadowMap
    this.renderer.outputColorSpace = THREE.SRGBColorSpace
    this.scene.add(new THREE.HemisphereLight(0xffffff, 0xf6f2e8, 2.35))
    this.sun.castShadow = true
    this.sun.shadow.mapSize.set(1024, 1024)
    this.sun.shadow.radius = 5
    this.sun.shadow.bias = -0.0006
    this.sun.shadow.normalBias = 1.2
    this.scene.add(this.sun, this.sun.target)
    this.camera.up.set(0, 0, 1)
  }

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
    const r = radius * 1.2
    this.sun.position.set(centre.x + r * 0.7, centre.y - r * 1.1, centre.z + r * 2.2)
    this.sun.target.position.copy(centre)
    const shadow = this.sun.shadow.camera
    shadow.left = shadow.bottom = -r * 1.5
    shadow.right = shadow.top = r * 1.5
    shadow.near = 1
    shadow.far = r * 6
    shadow.updateProjectionMatrix()
    this.request()
  }

  show(time: number, scale: number): void {
    this.stage?.show(time, scale)
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

  dispose(): void {
    cancelAnimationFrame(this.frame)
    this.stage?.dispose()
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
    if (!this.extent) return
    const { turnDeg, heightDeg, zoom } = this.angles
    const { centre, radius } = this.extent
    const narrow = Math.min(1, this.camera.aspect)
    const distance = (radius * zoom * FIT) / (Math.sin((this.camera.fov / 2) * DEG) * narrow)
    const [t, h] = [turnDeg * DEG, heightDeg * DEG]
    this.camera.position.set(
      centre.x + distance * Math.cos(h) * Math.cos(t),
      centre.y + distance * Math.cos(h) * Math.sin(t),
      centre.z + distance * Math.sin(h),
    )
    this.camera.lookAt(centre)
    this.renderer.render(this.scene, this.camera)
    this.drawn++
  }
}
