/** An orientation as the disc and the dial name it. */
export interface Place {
  tiltDeg: number
  azimuthDeg: number
  /** Azimuth + roll. */
  headingDeg: number
}
