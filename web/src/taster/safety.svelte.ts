/** How safe unsent marks are on this browser, and what is missing. */

/**
 * `promised`: the browser keeps them until they are sent; `installed`: the same, as an app on
 * the home screen; `seven-days`: it may erase them seven days after the last visit; `browser`:
 * it may erase them when the phone runs short of space.
 */
export type Safety = 'promised' | 'installed' | 'seven-days' | 'browser'

export interface Facts {
  persisted: boolean
  standalone: boolean
  /** WebKit erases what a site stored after seven days of use without a visit to it. */
  webkit: boolean
}

export function safetyOf(facts: Facts): Safety {
  if (facts.persisted) return 'promised'
  if (facts.standalone) return 'installed'
  return facts.webkit ? 'seven-days' : 'browser'
}

class Safe {
  now = $state<Safety>('browser')
  /** Whether service workers are allowed: without encryption no browser has them. */
  readonly offline = globalThis.isSecureContext === true && 'serviceWorker' in navigator

  async look(): Promise<void> {
    const storage = (navigator as Partial<Navigator>).storage
    this.now = safetyOf({
      persisted: (await storage?.persisted?.().catch(() => false)) ?? false,
      standalone: matchMedia('(display-mode: standalone)').matches,
      webkit: isWebKit(navigator.userAgent),
    })
  }
}

export const safe = new Safe()

/** Whether the engine is WebKit, as every browser on an iPhone is outside the EU. */
export function isWebKit(agent: string): boolean {
  return /AppleWebKit/.test(agent) && !/Chrome|Chromium|Edg\//.test(agent)
}

let asked = false

/** Ask the browser, once a visit, to keep what is stored; browsers want a touch before it. */
export function keepForGood(): void {
  if (asked) return
  asked = true
  const storage = (navigator as Partial<Navigator>).storage
  void storage
    ?.persist?.()
    .catch(() => false)
    .then(() => safe.look())
}
