/**
 * What is kept on this device: who sits where, and every draft.
 *
 * Everything is stored here before anything else happens with it. All tabs share it; a change is
 * a function of what is stored, run in a transaction, so that no tab undoes another.
 */
import { Dexie, type EntityTable, type Table } from 'dexie'
import type { paths } from '../api/schema'
import { uuid } from '../parts/uuid'
import { edited, emptyDraft, type Change, type Draft, type Said } from './draft'
import { settled } from './outbox'

export type Sheet = paths['/api/sheet']['get']['responses'][200]['content']['application/json']

export interface SeatKept {
  /** `TASTING/SITE/SEAT`: joining again finds the same drafts. */
  id: string
  /** Named in every request; null when it has run out and the taster has to join again. */
  token: string | null
  /** The table's code, to join again. */
  code: string
  sheet: Sheet
  tag: string | null
  /** Server's clock minus this device's, in milliseconds; only for what is shown. */
  ahead: number
  /** The cautions have been read. */
  cautioned: boolean
}

interface Setting {
  key: string
  value: unknown
}

export class Store extends Dexie {
  seats!: EntityTable<SeatKept, 'id'>
  drafts!: EntityTable<Draft, 'id'>
  settings!: Table<Setting, string>

  constructor(name = 'halfpoint') {
    // A mark is on the disk before it is shown as marked.
    super(name, { chromeTransactionDurability: 'strict' })
    // A later version adds a line below, with its upgrade; lines that are here stay.
    this.version(1).stores({ seats: 'id', drafts: 'id, seat, &[seat+code]', settings: 'key' })
  }

  /** What this device calls itself; made once. */
  async device(): Promise<string> {
    return this.transaction('rw', this.settings, async () => {
      const kept = await this.settings.get('device')
      if (typeof kept?.value === 'string') return kept.value
      const made = uuid()
      await this.settings.put({ key: 'device', value: made })
      return made
    })
  }

  async setting<T>(key: string): Promise<T | null> {
    return ((await this.settings.get(key))?.value as T | undefined) ?? null
  }

  async set(key: string, value: unknown): Promise<void> {
    await this.settings.put({ key, value })
  }

  /** Change what is written of a pour; the stored draft after it. */
  async edit(seat: string, code: string, change: Change, now = new Date()): Promise<Draft> {
    return this.change(seat, code, (draft) => edited(draft, change, now))
  }

  /** Change a draft beside what is written on it: stopwatch, hints read, left. */
  async change(seat: string, code: string, work: (draft: Draft) => Draft): Promise<Draft> {
    return this.transaction('rw', this.drafts, async () => {
      const stored = await this.drafts.where({ seat, code }).first()
      const before = stored ?? emptyDraft(seat, code)
      const after = work(before)
      if (after !== stored) await this.drafts.put(after)
      return after
    })
  }

  /** Note down what the server said of a version. */
  async settle(id: string, answer: Said): Promise<void> {
    await this.transaction('rw', this.drafts, async () => {
      const draft = await this.drafts.get(id)
      if (draft) await this.drafts.put(settled(draft, answer))
    })
  }

  /** The taster went on: what is unfinished may be sent too. */
  async leave(seat: string, code: string): Promise<void> {
    const draft = await this.drafts.where({ seat, code }).first()
    if (!draft || draft.left || draft.version === 0) return
    await this.change(seat, code, (now) => ({ ...now, left: true }))
  }
}
