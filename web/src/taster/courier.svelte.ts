/**
 * Sends what waits, whenever there is a network, and only from one tab at a time.
 *
 * Sending twice does no harm (the server knows each version of each pour), so that a tab that
 * died in the middle, or a browser without locks, costs a repetition and nothing else.
 */
import { call, callTagged, Refused, Unreachable } from '../api/call'
import type { components } from '../api/schema'
import type { Said } from './draft'
import { asSent, isWaiting, parcels, pauseAfter, type Sent } from './outbox'
import type { SeatKept, Sheet, Store } from './store'

type Answers = components['schemas']['EntryAnswers']
type Hello = components['schemas']['Hello']

/** The agreement between app and server that this app knows. */
export const API = 1
const QUIET = 1_500
const LOOK_AGAIN = 120_000

export type Line = 'unknown' | 'good' | 'none' | 'newer' | 'trouble'

export class Courier {
  /** How the line to the server is. */
  line = $state<Line>('unknown')
  /** What the server said when it could not take anything. */
  trouble = $state<string | null>(null)
  sending = $state(false)

  #failures = 0
  #timer: ReturnType<typeof setTimeout> | undefined
  #due = Infinity

  constructor(private readonly store: Store) {}

  /** Begin: now, whenever the network comes back, and whenever the page is looked at again. */
  start(): void {
    addEventListener('online', () => this.wake())
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState === 'visible') this.wake()
    })
    this.wake()
  }

  /** Something was written: send it when the taster pauses. */
  soon(): void {
    this.#plan(QUIET, true)
  }

  /** Try now, however long the pause was meant to be. */
  wake(): void {
    this.#failures = 0
    this.#plan(0, true)
  }

  #plan(after: number, replace = false): void {
    const due = Date.now() + after
    if (!replace && due >= this.#due) return
    clearTimeout(this.#timer)
    this.#due = due
    this.#timer = setTimeout(() => {
      this.#due = Infinity
      void this.turn()
    }, after)
  }

  /** Send and fetch once, unless another tab is at it, and plan the next time. */
  async turn(): Promise<void> {
    const work = () => this.#round()
    // Without encryption a browser has no locks.
    const locks = (globalThis.navigator as Partial<Navigator> | undefined)?.locks
    const next = locks
      ? await locks.request('halfpoint-outbox', { ifAvailable: true }, (lock) =>
          lock ? work() : 5_000,
        )
      : await work()
    this.#plan(next)
  }

  /** Send and fetch once for every seat; milliseconds until the next time. */
  async #round(): Promise<number> {
    this.sending = true
    try {
      for (const seat of await this.store.seats.toArray()) {
        if (seat.token !== null) await this.#serve(seat, seat.token)
      }
      this.#failures = 0
      this.line = 'good'
      this.trouble = null
      return LOOK_AGAIN
    } catch (failure) {
      this.#failures += 1
      return this.#failed(failure)
    } finally {
      this.sending = false
    }
  }

  #failed(failure: unknown): number {
    const pause = pauseAfter(this.#failures)
    if (failure instanceof Newer) {
      this.line = 'newer'
      return Math.max(pause, 60_000)
    }
    if (failure instanceof Refused) {
      this.line = 'trouble'
      const { found, remedy } = failure.problem
      this.trouble = [found, remedy].filter(Boolean).join(': ')
      return Math.max(pause, (failure.after ?? 0) * 1000)
    }
    if (!(failure instanceof Unreachable)) console.error(failure)
    this.line = 'none'
    return pause
  }

  async #serve(seat: SeatKept, token: string): Promise<void> {
    try {
      const sent = await this.#send(seat, token)
      await this.#fetchSheet(seat, token, sent)
    } catch (failure) {
      if (!(failure instanceof Refused) || !isNoSeat(failure)) throw failure
      await this.store.seats.update(seat.id, { token: null })
    }
  }

  /** Send what waits at a seat; whether there was anything. */
  async #send(seat: SeatKept, token: string): Promise<boolean> {
    const { categories } = seat.sheet.sheet
    const drafts = await this.store.drafts.where({ seat: seat.id }).toArray()
    const waiting = drafts.filter((draft) => isWaiting(draft, categories))
    for (const parcel of parcels(waiting.map((draft) => asSent(draft, categories)))) {
      await this.#deliver(seat, token, parcel)
    }
    return waiting.length > 0
  }

  async #deliver(seat: SeatKept, token: string, parcel: Sent[]): Promise<void> {
    const device = await this.store.device()
    const body = { device, app: __BUILD__, entries: parcel }
    try {
      const answers = await call<Answers>('/api/sheet/entries', { method: 'PUT', body, token })
      for (const answer of answers.answers) await this.store.settle(answer.id, said(answer))
      const ahead = Date.parse(answers.server_time) - Date.now()
      if (Number.isFinite(ahead)) await this.store.seats.update(seat.id, { ahead })
    } catch (failure) {
      await this.#refused(failure, seat, token, parcel)
    }
  }

  /** A parcel that the server cannot take is sent piece by piece, so that one holds up no other. */
  async #refused(failure: unknown, seat: SeatKept, token: string, parcel: Sent[]): Promise<void> {
    if (!(failure instanceof Refused) || ![400, 405, 413, 415, 422, 426].includes(failure.status)) {
      throw failure
    }
    if ((await call<Hello>('/api/hello')).api > API) throw new Newer()
    const [only, ...others] = parcel
    if (others.length > 0) {
      for (const entry of parcel) await this.#deliver(seat, token, [entry])
    } else if (only) {
      const { found, where, expected } = failure.problem
      const problem = { field: where ?? '', found, expected: expected ?? '' }
      const answer: Said = {
        version: only.version, state: 'refused', entry: null, problems: [problem], hints: [],
      }
      await this.store.settle(only.id, answer)
    }
  }

  async #fetchSheet(seat: SeatKept, token: string, anew: boolean): Promise<void> {
    const unless = anew ? null : seat.tag
    const answer = await callTagged<Sheet>('/api/sheet', { token, unless })
    if (answer === null) return
    const ahead = Date.parse(answer.value.server_time) - Date.now()
    await this.store.seats.update(seat.id, { sheet: answer.value, tag: answer.tag, ahead })
  }
}

class Newer extends Error {}

/** The token has run out or is for another device: the taster has to join again. */
function isNoSeat(refusal: Refused): boolean {
  return refusal.status === 401 || refusal.problem.code === 'other-device'
}

function said(answer: Answers['answers'][number]): Said {
  const { version, state, entry, problems = [], hints = [] } = answer
  return { version, state, entry, problems, hints }
}
