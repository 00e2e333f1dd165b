/** The host's site as the server has it, renewed while somebody looks at it. */
import { Loaded } from '../parts/loaded.svelte'
import { link } from './link.svelte'
import type { Site } from './types'

const EVERY = 8_000

class Here {
  readonly site = new Loaded<Site>((path, asking) => link.askTagged(path, asking))
  #timer: ReturnType<typeof setInterval> | undefined

  start(): void {
    void this.site.load('')
    this.#timer ??= setInterval(() => {
      if (!document.hidden) void this.site.load('')
    }, EVERY)
    document.addEventListener('visibilitychange', this.#back)
  }

  stop(): void {
    clearInterval(this.#timer)
    this.#timer = undefined
    document.removeEventListener('visibilitychange', this.#back)
  }

  #back = (): void => {
    if (!document.hidden) void this.site.load('')
  }
}

export const room = new Here()
