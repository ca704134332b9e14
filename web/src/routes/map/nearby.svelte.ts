/** What follows the pointer over the map a little behind it: the nearest trials and the drawn hand. */
import { untrack } from 'svelte'
import { getMapAt, type MapPoint, type MapQuery } from '$lib/api'
import type { Rotation } from '$lib/plots/geometry'

const restsAfterMs = 180
const followsAfterMs = 50

/**
 * The trials nearest to an orientation, from the server once the pointer rests there; none while it moves.
 * `wanted` returns null where there is nothing to ask. Call it while a component is set up.
 */
export function nearestTrials(study: string, wanted: () => { query: MapQuery; rotation: Rotation } | null) {
  let near = $state.raw<MapPoint['near']>([])
  $effect(() => {
    const asked = wanted()
    near = []
    if (!asked) return
    const abort = new AbortController()
    const resting = setTimeout(() => {
      const { w, x, y, z } = asked.rotation
      getMapAt(study, { ...asked.query, qw: w, qx: x, qy: y, qz: z }, abort.signal).then(
        (point) => (near = point.near ?? []),
        () => undefined,
      )
    }, restsAfterMs)
    return () => {
      clearTimeout(resting)
      abort.abort()
    }
  })
  return {
    get trials() {
      return near
    },
  }
}

/** A value that follows another at most every 50 ms, for pictures slower than a pointer. Call it while a component is set up. */
export function follower<T>(value: () => T) {
  let shown = $state.raw(untrack(value))
  let timer: ReturnType<typeof setTimeout> | undefined
  $effect(() => {
    void value()
    timer ??= setTimeout(() => {
      timer = undefined
      shown = untrack(value)
    }, followsAfterMs)
  })
  $effect(() => () => clearTimeout(timer))
  return {
    get current() {
      return shown
    },
  }
}
