/**
 * The host's link: its token stands behind # and reaches no log; it is kept on this device, and
 * taken out of the address at once.
 */
import { callTagged, fetchFile, Refused, type Answer, type Asking } from '../api/call'
import { download } from '../parts/handOut'
import { uuid } from '../parts/uuid'

const TOKEN = 'halfpoint-host'
const DEVICE = 'halfpoint-host-device'

class Link {
  token = $state(kept(TOKEN))
  /** The link has run out or was taken back: asked for again, in words. */
  over = $state.raw<Refused | null>(null)

  /** Take the token out of the address, when there is one. */
  take(): void {
    const token = location.hash.slice(1)
    if (!/^[\w-]{16,}$/.test(token)) return
    keep(TOKEN, token)
    history.replaceState(null, '', location.pathname)
    this.token = token
    this.over = null
  }

  forget(): void {
    keep(TOKEN, '')
    this.token = ''
  }

  /** What this device calls itself when a sheet is typed in. */
  device(): string {
    const known = kept(DEVICE)
    if (known) return known
    const made = uuid()
    keep(DEVICE, made)
    return made
  }

  async askTagged<T>(path: string, asking: Asking = {}): Promise<Answer<T> | null> {
    try {
      return await callTagged<T>(`/api/site${path}`, { ...asking, token: this.token })
    } catch (trouble) {
      this.#seen(trouble)
      throw trouble
    }
  }

  async ask<T>(path: string, asking: Asking = {}): Promise<T> {
    return ((await this.askTagged<T>(path, asking)) as Answer<T>).value
  }

  /** Fetch a file of the site and hand it to the person. */
  async download(path: string, name: string): Promise<void> {
    const file = await fetchFile(`/api/site${path}`, { token: this.token, patience: 120_000 })
    download(file, name)
  }

  #seen(trouble: unknown): void {
    if (trouble instanceof Refused && [401, 403].includes(trouble.status)) this.over = trouble
  }
}

// Storage may be forbidden; then the link holds as long as the page.
function kept(name: string): string {
  try {
    return localStorage.getItem(name) ?? ''
  } catch {
    return ''
  }
}
function keep(name: string, value: string): void {
  try {
    if (value) localStorage.setItem(name, value)
    else localStorage.removeItem(name)
  } catch {
    return
  }
}

export const link = new Link()
