/** A room with camera and light for things in millimetres. It draws when something changed, never in a loop. */
import * as THREE from 'three'
import { DEG } from '../plots/geometry'
import { usualView, type ViewAngles } from './angles'

export abstract class Studio {
  protected readonly scene = new THREE.Scene()
  protected readonly camera = new THREE.PerspectiveCamera(26, 1, 10, 8000)
  private readonly renderer: THREE.WebGLRenderer
  private readonly sun = new THREE.DirectionalLight(0xffffff, 1.5)
  private angles: ViewAngles = usualView
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
    this.sun.shadow.map?.dispose()
    this.sun.dispose()
    this.renderer.dispose()
    this.renderer.forceContextLoss()
  }

  /** Draws the picture once, before the next frame. */
  protected request(): void {
    if (this.frame) return
    this.frame = requestAnimationFrame(() => {
      this.frame = 0
      this.draw()
    })
  }

  protected abstract draw(): void

  /** Puts the sun over a place, with shadows as far as a side from it. */
  protected light(centre: THREE.Vector3, above: THREE.Vector3, reach: number, side: number): void {
    this.sun.position.set(above.x + reach * 0.7, above.y - reach * 1.1, above.z + reach * 2.2)
    this.sun.target.position.copy(centre)
    const shadow = this.sun.shadow.camera
    shadow.left = shadow.bottom = -side
    shadow.right = shadow.top = side
    shadow.near = 1
    shadow.far = reach * 6
    shadow.updateProjectionMatrix()
  }

  /** Draws with a ball in sight from where the viewer stands; fit 1 keeps the whole ball in the picture from every side. */
  protected shoot(centre: THREE.Vector3, radius: number, fit: number): void {
    const { turnDeg, heightDeg, zoom } = this.angles
    const narrow = Math.min(1, this.camera.aspect)
    const distance = (radius * zoom * fit) / (Math.sin((this.camera.fov / 2) * DEG) * narrow)
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

  /** The picture's size in CSS pixels. */
  protected size(): THREE.Vector2 {
    return this.renderer.getSize(new THREE.Vector2())
  }
}
