/** The evening as this phone has it: the seat, its pours, and the drafts, as they are stored. */
import { liveQuery } from 'dexie'
import { call, Unreachable } from '../api/call'
import type { components } from '../api/schema'
import { totalOf } from '../parts/scale'
import { Courier } from './courier.svelte'
import { hintName, type Change, type Draft, type Hint } from './draft'
import { standing, type Standing } from './outbox'
import { keepForGood } from './safety.svelte'
import { Store, type SeatKept, type Sheet } from './store'

export type Table = components['schemas']['Table']
type Seated = components['schemas']['Seated']

interface Kept {
  seat: SeatKept | null
  drafts: Map<string, Draft>
  /** Drafts of other seats of this phone that have not been sent. */
  elsewhere: { seat: SeatKept; waiting: number }[]
  /** Families of aromas that the taster opened; they stay open from pour to pour. */
  open: string[]
}

class Evening {
  readonly store = new Store()
  readonly courier = new Courier(this.store)

  /** What is stored was read for the first time. */
  ready = $state(false)
  /** Why nothing can be stored here; null as long as it can. */
  broken = $state<string | null>(null)
  seat = $state.raw<SeatKept | null>(null)
  drafts = $state.raw<Map<string, Draft>>(new Map())
  elsewhere = $state.raw<Kept['elsewhere']>([])
  open = $state.raw<string[]>([])

  #started = false

  start(): void {
    if (this.#started) return
    this.#started = true
    liveQuery(() => this.#read()).subscribe({
      next: (kept) => {
        this.seat = kept.seat
        this.drafts = kept.drafts
        this.elsewhere = kept.elsewhere
        this.open = kept.open
        this.ready = true
      },
      error: (failure) => this.#cannotStore(failure),
    })
    this.courier.start()
  }

  get sheet(): Sheet | null {
    return this.seat?.sheet ?? null
  }

  standing(code: string): Standing {
    return standing(this.drafts.get(code), this.sheet?.sheet.categories ?? [])
  }

  total(code: string): number | null {
    const draft = this.drafts.get(code)
    const categories = this.sheet?.sheet.categories ?? []
    if (!draft || !categories.some(({ key }) => typeof draft.marks[key] === 'number')) return null
    return totalOf(categories, draft.marks)
  }

  /** How many pours wait to be sent. */
  get waiting(): number {
    return [...this.drafts.keys()].filter((code) => this.standing(code) === 'waiting').length
  }

  edit(code: string, change: Change): Promise<void> {
    return this.#store(async (seat) => {
      await this.store.edit(seat, code, change)
      this.courier.soon()
      keepForGood()
    })
  }

  time(code: string, timing: number | null): Promise<void> {
    return this.#store(async (seat) => {
      await this.store.change(seat, code, (draft) => ({ ...draft, timing }))
    })
  }

  read(code: string, hints: Hint[]): Promise<void> {
    return this.#store(async (seat) => {
      await this.store.change(seat, code, (draft) => ({
        ...draft,
        read: [...new Set([...draft.read, ...hints.map(hintName)])],
      }))
    })
  }

  leave(code: string): Promise<void> {
    return this.#store(async (seat) => {
      await this.store.leave(seat, code)
      this.courier.wake()
    })
  }

  openFamilies(open: string[]): Promise<void> {
    return this.#store(() => this.store.set('open', open))
  }

  cautioned(): Promise<void> {
    return this.#store(async (seat) => {
      await this.store.seats.update(seat, { cautioned: true })
    })
  }

  /** Agree to a letter after the tasting, or take that back; known here once the record has it. */
  async wish(wanted: boolean): Promise<void> {
    const { seat } = this
    if (!seat?.token) throw new Unreachable()
    await call('/api/sheet/letter', { method: 'PUT', body: { wanted }, token: seat.token })
    await this.store.seats.update(seat.id, { sheet: { ...seat.sheet, letter: wanted }, tag: null })
  }

  /** What a code opens. */
  knock(code: string): Promise<Table> {
    return call<Table>('/api/join', { method: 'POST', body: { code } })
  }

  /** Sit down, and have the sheet on the phone before anything else. */
  async sit(code: string, seat: number, name: string): Promise<void> {
    const device = await this.store.device()
    const body = { code, seat, device, name }
    const seated = await call<Seated>('/api/join/seat', { method: 'POST', body })
    const sheet = await call<Sheet>('/api/sheet', { token: seated.token })
    const id = `${sheet.tasting.key}/${sheet.site.key}/${sheet.seat}`
    const ahead = Date.parse(sheet.server_time) - Date.now()
    const known = await this.store.seats.get(id)
    const cautioned = known?.cautioned ?? false
    const kept = { id, token: seated.token, code, sheet, tag: null, ahead, cautioned }
    await this.store.transaction('rw', this.store.seats, this.store.settings, async () => {
      await this.store.seats.put(kept)
      await this.store.set('seat', id)
    })
    this.courier.wake()
  }

  /** Go to another seat of this phone, or (null) to none; nothing is thrown away. */
  async choose(id: string | null): Promise<void> {
    await this.store.set('seat', id)
  }

  async #read(): Promise<Kept> {
    const id = await this.store.setting<string>('seat')
    const seats = await this.store.seats.toArray()
    const all = await this.store.drafts.toArray()
    const seat = seats.find((each) => each.id === id) ?? null
    const own = all.filter((draft) => draft.seat === id)
    const elsewhere = seats
      .filter((each) => each.id !== id)
      .map((each) => ({ seat: each, waiting: unsent(each, all) }))
      .filter((each) => each.waiting > 0)
    const open = (await this.store.setting<string[]>('open')) ?? []
    return { seat, drafts: new Map(own.map((draft) => [draft.code, draft])), elsewhere, open }
  }

  async #store(work: (seat: string) => Promise<void>): Promise<void> {
    if (!this.seat) return
    try {
      await work(this.seat.id)
    } catch (failure) {
      this.#cannotStore(failure)
    }
  }

  #cannotStore(failure: unknown): void {
    console.error(failure)
    this.broken = failure instanceof Error ? failure.message : String(failure)
    this.ready = true
  }
}

function unsent(seat: SeatKept, drafts: Draft[]): number {
  const { categories } = seat.sheet.sheet
  return drafts.filter((draft) => {
    const stands = standing(draft, categories)
    return draft.seat === seat.id && (stands === 'waiting' || stands === 'begun')
  }).length
}

export const evening = new Evening()
