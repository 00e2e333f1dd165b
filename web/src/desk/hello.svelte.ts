/** What everybody may know of the tasting that is served. */
import { call } from '../api/call'
import type { components } from '../api/schema'

type Hello = components['schemas']['Hello']

class Known {
  known = $state(false)
  tasting = $state.raw<Hello['tasting']>(null)
  trouble = $state.raw<unknown>(null)

  async load(): Promise<void> {
    try {
      this.tasting = (await call<Hello>('/api/hello')).tasting
      this.known = true
      this.trouble = null
    } catch (trouble) {
      this.trouble = trouble
    }
  }
}

export const hello = new Known()
