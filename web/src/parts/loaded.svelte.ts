/** Something asked of the server, shown while it is renewed, with what stood in the way. */
import { callTagged, type Asking } from '../api/call'

export class Loaded<T> {
  value = $state.raw<T | null>(null)
  trouble = $state.raw<unknown>(null)
  busy = $state(false)
  #path = ''
  #tag: string | null = null
  #turn = 0
  // Beside `busy`, which an effect that loads must not depend on.
  #open = false
  #more = false
  #asking = Promise.resolve()

  /** `ask` is how the page asks: with the organiser's cookie or a host's token. */
  constructor(readonly ask: <U>(path: string, asking: Asking) => ReturnType<typeof callTagged<U>>) {}

  /**
   * Ask for a path, or again for the last one; what is there stays until an answer comes. News
   * while it is being asked for is asked for after that, so that every answer is shown.
   */
  load(path = this.#path): Promise<void> {
    if (this.#open && path === this.#path) {
      this.#more = true
    } else {
      if (path !== this.#path) this.#tag = null
      this.#path = path
      this.#asking = this.#ask(path, ++this.#turn)
    }
    return this.#asking
  }

  async #ask(path: string, turn: number): Promise<void> {
    this.busy = this.#open = true
    do {
      this.#more = false
      try {
        const answer = await this.ask<T>(path, { unless: this.#tag })
        if (turn !== this.#turn) return
        if (answer) {
          this.value = answer.value
          this.#tag = answer.tag
        }
        this.trouble = null
      } catch (trouble) {
        if (turn !== this.#turn) return
        this.trouble = trouble
      }
    } while (this.#more)
    this.busy = this.#open = false
  }
}
