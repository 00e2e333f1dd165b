/** Something asked of the server, shown while it is renewed, with what stood in the way. */
import { callTagged, type Asking } from '../api/call'

export class Loaded<T> {
  value = $state.raw<T | null>(null)
  trouble = $state.raw<unknown>(null)
  busy = $state(false)
  #path = ''
  #tag: string | null = null
  #turn = 0

  /** `ask` is how the page asks: with the organiser's cookie or a host's token. */
  constructor(readonly ask: <U>(path: string, asking: Asking) => ReturnType<typeof callTagged<U>>) {}

  /** Ask for a path, or again for the last one; what is there stays until an answer comes. */
  async load(path = this.#path): Promise<void> {
    if (path !== this.#path) this.#tag = null
    this.#path = path
    const turn = ++this.#turn
    this.busy = true
    try {
      const answer = await this.ask<T>(path, { unless: this.#tag })
      if (turn !== this.#turn) return
      if (answer) {
        this.value = answer.value
        this.#tag = answer.tag
      }
      this.trouble = null
    } catch (trouble) {
      if (turn === this.#turn) this.trouble = trouble
    } finally {
      if (turn === this.#turn) this.busy = false
    }
  }
}
