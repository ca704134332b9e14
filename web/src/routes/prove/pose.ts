import { degText, fromWire, headingDeg, modDeg, toApproach } from '$lib/plots/geometry'

/** An orientation as the person at the cell sets it. */
export function poseText(o: Parameters<typeof fromWire>[0]): string {
  const r = fromWire(o)
  const a = toApproach(r)
  const heading = degText(Math.round(modDeg(headingDeg(r))))
  return a.tiltDeg < 0.5
    ? `straight down, heading ${heading}`
    : `tilt ${degText(Math.round(a.tiltDeg))} towards ${degText(Math.round(modDeg(a.azimuthDeg)))}, heading ${heading}`
}
