/** What is known of a hand's sounds, from answers that tell what changed. */
import type { TouchState } from '$lib/api'

/**
 * Brings what is known up to an answer. Answers may overtake one another: of each clip the later label counts, and what else
 * an older answer says is passed over. An answer since 0 tells all and stands alone.
 */
export function merged(known: TouchState | undefined, news: TouchState): TouchState {
  if (!known || news.since === 0) return news
  const clips = new Map(known.clips.map((c) => [c.id, c]))
  for (const c of news.clips) {
    const old = clips.get(c.id)
    if (!old || c.label >= old.label) clips.set(c.id, c)
  }
  return {
    ...(news.newest >= known.newest ? news : known),
    clips: [...clips.values()].sort((a, b) => a.id - b.id),
    since: 0,
  }
}
