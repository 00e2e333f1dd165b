/** Where the person is, and how to go elsewhere without loading the page anew. */

class Place {
  path = $state(location.pathname)
  search = $state(location.search)

  /** One value of what stands behind the question mark. */
  asked(name: string): string | null {
    return new URLSearchParams(this.search).get(name)
  }

  take(): void {
    this.path = location.pathname
    this.search = location.search
  }
}

export const place = new Place()

/** Go to a page of the app; `replace` leaves no step back. */
export function go(path: string, how: { replace?: boolean } = {}): void {
  if (how.replace) history.replaceState(null, '', path)
  else history.pushState(null, '', path)
  place.take()
  scrollTo(0, 0)
}

addEventListener('popstate', () => place.take())

/** Links within the app are followed here; those with a modifier, target or download are not. */
document.addEventListener('click', (event) => {
  if (event.defaultPrevented || event.button !== 0) return
  if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return
  const link = event.target instanceof Element ? event.target.closest('a') : null
  if (!link || link.target || link.hasAttribute('download')) return
  if (link.origin !== location.origin || link.pathname.startsWith('/api/')) return
  if (link.pathname === location.pathname && link.hash) return
  event.preventDefault()
  go(link.pathname + link.search + link.hash)
})
