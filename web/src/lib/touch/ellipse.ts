/** What pictures of touch are drawn from. */

/**
 * The ellipse that holds 95 % of a place with normal errors: standard errors along x and y, and their covariance. The radius is
 * √5.991 times the standard errors along its axes (95 % of χ² with two degrees of freedom; value from memory).
 */
export function ellipse95(sx: number, sy: number, cov: number): { a: number; b: number; turnDeg: number } {
  const mean = (sx * sx + sy * sy) / 2
  const half = (sx * sx - sy * sy) / 2
  const apart = Math.hypot(half, cov)
  const k = Math.sqrt(5.991)
  return {
    a: k * Math.sqrt(mean + apart),
    b: k * Math.sqrt(Math.max(0, mean - apart)),
    turnDeg: (Math.atan2(cov, half) / 2) * (180 / Math.PI),
  }
}

/** The frame that is shown at a time: the last that is not later. */
export function frameAt(times: readonly number[], t: number): number {
  let low = 0
  let high = times.length - 1
  while (low < high) {
    const middle = Math.ceil((low + high) / 2)
    if (times[middle]! <= t) low = middle
    else high = middle - 1
  }
  return low
}

/** The outline of a band about a line: half its width at right angles to where the line goes (turned from z towards x). */
export function band(
  x: readonly number[],
  z: readonly number[],
  turnDeg: readonly number[],
  half: readonly number[],
): [number, number][] {
  const side = (sign: number) =>
    x.map((v, i): [number, number] => {
      const turn = ((turnDeg[i] ?? 0) * Math.PI) / 180
      const h = sign * (half[i] ?? 0)
      return [v + h * Math.cos(turn), (z[i] ?? 0) - h * Math.sin(turn)]
    })
  return [...side(1), ...side(-1).reverse()]
}
