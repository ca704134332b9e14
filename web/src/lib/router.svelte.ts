/** The page's addresses: a table of patterns, the current match, and ways to go somewhere else. */

export type Params = Record<string, string>

/** Where the reader is. Read its fields in a component or an effect and they stay current. */
export const place = $state({ path: location.pathname, search: location.search })

/** Asked before leaving a page with unsaved edits; returning a sentence makes the browser ask. */
let guard: (() => string | null) | null = null

/** Sets the question asked before leaving; returns the function that removes it again. */
export function guardLeaving(ask: () => string | null): () => void {
  guard = ask
  return () => {
    if (guard === ask) guard = null
  }
}

function mayLeave(): boolean {
  const question = guard?.()
  return !question || confirm(question)
}

function adopt() {
  place.path = location.pathname
  place.search = location.search
}

/** Goes to an address of this page; with keepScroll it stays on the same view and asks nothing. */
export function go(href: string, options: { replace?: boolean; keepScroll?: boolean } = {}) {
  const target = new URL(href, location.href)
  if (!options.keepScroll && !mayLeave()) return
  const leaving = target.pathname !== place.path
  if (options.replace) history.replaceState(null, '', target)
  else history.pushState(null, '', target)
  adopt()
  if (leaving && !options.keepScroll) scrollTo(0, 0)
}

/** Changes parts of the address's query in place; null removes a part. View state belongs here. */
export function setQuery(change: Record<string, string | number | null>, options: { push?: boolean } = {}) {
  const query = new URLSearchParams(place.search)
  for (const [name, value] of Object.entries(change)) {
    if (value === null || value === '') query.delete(name)
    else query.set(name, String(value))
  }
  const search = query.toString()
  const href = place.path + (search ? '?' + search : '')
  go(href, { replace: !options.push, keepScroll: true })
}

/** Matches a pattern such as /studies/:study against a path; null when they differ. */
export function match(pattern: string, path: string): Params | null {
  const want = pattern.split('/').filter(Boolean)
  const have = path.split('/').filter(Boolean)
  if (want.length !== have.length) return null
  const params: Params = {}
  for (const [i, part] of want.entries()) {
    const given = have[i]!
    if (part.startsWith(':')) {
      try {
        params[part.slice(1)] = decodeURIComponent(given)
      } catch {
        return null
      }
    } else if (part !== given) return null
  }
  return params
}

/** Follows plain left clicks on links of this page without loading it anew. */
function follow(event: MouseEvent) {
  if (
    event.defaultPrevented ||
    event.button !== 0 ||
    event.metaKey ||
    event.ctrlKey ||
    event.shiftKey ||
    event.altKey
  )
    return
  const link = (event.target as Element | null)?.closest?.('a[href]') as HTMLAnchorElement | null
  if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return
  if (link.pathname.startsWith('/api/')) return
  if (link.hash && link.pathname === location.pathname && link.search === location.search) return
  event.preventDefault()
  go(link.href)
}

/** Starts following links and the browser's back button; returns the function that stops it. */
export function startRouter(): () => void {
  const back = () => {
    if (location.pathname !== place.path && !mayLeave()) {
      history.pushState(null, '', place.path + place.search)
      return
    }
    adopt()
  }
  const unload = (event: BeforeUnloadEvent) => {
    if (guard?.()) event.preventDefault()
  }
  document.addEventListener('click', follow)
  addEventListener('popstate', back)
  addEventListener('beforeunload', unload)
  return () => {
    document.removeEventListener('click', follow)
    removeEventListener('popstate', back)
    removeEventListener('beforeunload', unload)
  }
}
