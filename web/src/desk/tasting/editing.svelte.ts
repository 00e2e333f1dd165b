/**
 * The tasting being edited: the form and the text of its file are two views of one thing.
 *
 * Whichever was changed last is looked over by the server a moment later, which gives the other.
 */
import { Refused } from '../../api/call'
import { ask } from '../ask'
import type { Problem, TastingText } from '../types'
import type { Form } from './form'

const PAUSE = 350

export class Editing {
  form = $state.raw<Form | null>(null)
  text = $state('')
  problems = $state.raw<Problem[]>([])
  /** What stood in the way of keeping or loading it. */
  trouble = $state.raw<unknown>(null)
  changed = $state(false)
  checking = $state(false)
  kept = $state(false)
  /** The file was changed by somebody else meanwhile. */
  overtaken = $state(false)
  isNew = $state(false)
  loaded = $state(false)
  #base = ''
  #from: 'form' | 'text' = 'form'
  #timer: ReturnType<typeof setTimeout> | undefined
  #turn = 0

  async load(): Promise<void> {
    try {
      this.#take(await ask<TastingText>('/tasting'))
      this.trouble = null
    } catch (trouble) {
      this.trouble = trouble
    }
  }

  editForm(form: Form): void {
    this.form = form
    this.#from = 'form'
    this.#touch()
  }

  editText(text: string): void {
    this.text = text
    this.#from = 'text'
    this.#touch()
  }

  /** Keep it in the file; true when it was. */
  async keep(): Promise<boolean> {
    clearTimeout(this.#timer)
    const turn = ++this.#turn
    this.checking = true
    try {
      const shown = await ask<TastingText>('/tasting', {
        method: 'PUT',
        body: { ...this.#edited(), base: this.#base },
      })
      if (turn === this.#turn) this.#take(shown)
      else this.#base = shown.digest
      this.kept = true
      this.trouble = null
      return true
    } catch (trouble) {
      this.trouble = trouble
      this.overtaken = trouble instanceof Refused && trouble.status === 409
      if (!this.overtaken) void this.#check()
      return false
    } finally {
      this.checking = false
    }
  }

  #take(shown: TastingText): void {
    this.form = (shown.form as Form | null) ?? this.form ?? {}
    this.text = shown.text
    this.problems = shown.problems
    this.isNew = shown.digest === ''
    this.#base = shown.digest
    this.changed = false
    this.overtaken = false
    this.loaded = true
  }

  #edited(): { form: Form } | { text: string } {
    return this.#from === 'form' ? { form: this.form ?? {} } : { text: this.text }
  }

  #touch(): void {
    this.changed = true
    this.kept = false
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#check(), PAUSE)
  }

  async #check(): Promise<void> {
    const turn = ++this.#turn
    const from = this.#from
    this.checking = true
    try {
      const shown = await ask<TastingText>('/tasting/check', { method: 'POST', body: this.#edited() })
      if (turn !== this.#turn) return
      // What is being typed is never exchanged under the hand.
      if (from === 'form') this.text = shown.text
      else if (shown.form) this.form = shown.form as Form
      this.problems = shown.problems
      if (!this.overtaken) this.trouble = null
    } catch (trouble) {
      if (turn === this.#turn) this.trouble = trouble
    } finally {
      if (turn === this.#turn) this.checking = false
    }
  }
}
