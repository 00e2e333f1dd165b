/** Whether somebody is signed in at the desk; the session itself lies in a cookie. */
import { call, Refused } from '../api/call'

interface Me {
  who: string
  ends: string
}
const NAME = 'halfpoint-desk-name'

class Session {
  state = $state<'asking' | 'out' | 'in'>('asking')
  who = $state('')
  trouble = $state.raw<unknown>(null)

  async start(): Promise<void> {
    this.trouble = null
    try {
      this.#in(await call<Me>('/api/desk/me'))
    } catch (trouble) {
      if (trouble instanceof Refused) this.ended()
      else this.trouble = trouble
    }
  }

  async login(password: string, name: string): Promise<void> {
    this.#in(await call<Me>('/api/login', { method: 'POST', body: { password, name } }))
    remember(name)
  }

  async logout(): Promise<void> {
    await call('/api/logout', { method: 'POST' }).catch(() => undefined)
    this.ended()
  }

  ended(): void {
    this.state = 'out'
  }

  #in(me: Me): void {
    this.who = me.who
    this.state = 'in'
  }
}

function remember(name: string): void {
  try {
    localStorage.setItem(NAME, name)
  } catch {
    return
  }
}

/** The name last signed in with on this device. */
export function lastName(): string {
  try {
    return localStorage.getItem(NAME) ?? ''
  } catch {
    return ''
  }
}

export const session = new Session()
