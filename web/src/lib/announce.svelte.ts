import { untrack } from 'svelte'

/** One polite live region for the whole page. */
export const spoken = $state({ text: '', turn: 0 })

/** Says a short sentence to people who listen to the page instead of looking at it. */
export function announce(text: string) {
  // An effect that announces something must not run again because something was announced.
  untrack(() => {
    spoken.text = text
    spoken.turn++
  })
}
