/**
 * What a learner keeps on this device: practices, line by line, and what is under way.
 *
 * A database of its own, apart from that of tastings. Lines are those of the practice file (see
 * learn/diary.ts) and are only added to; what is under way may change until it becomes a line.
 */
import { Dexie, type EntityTable, type Table } from 'dexie'
import type { Entry } from '../learn/diary'
import type { Round } from '../learn/drills'
import type { Test } from '../learn/difference'
import { uuid } from '../parts/uuid'
import { edited, emptyDraft, type Change, type Draft } from '../taster/draft'

export interface PracticeKept {
  id: string
  /** What the learner calls it; '' for what its reference is called. */
  name: string
  /** When it was begun here, ISO 8601. */
  begun: string
}

export interface LineKept {
  at: number
  practice: string
  text: string
}

/** A wine that is being marked. */
export interface MarkingKept {
  practice: string
  draft: Draft
  /** Which wine it is, as far as it was said. */
  wine: string
  /** It is a wine that the reference does not have. */
  another: boolean
  /** The panel's marks are not shown yet. */
  later: boolean
  /** These marks stand for earlier ones of this session. */
  corrects: string | null
}

/** A drill that is being poured; the answers are codes. */
export interface DrillKept {
  practice: string
  test: Test
  pair: string
  rounds: Round[]
  answers: (string | null)[]
  /** Whoever pours has shown what to do, and handed the device back. */
  poured: boolean
}

interface Setting {
  key: string
  value: unknown
}

export class PracticeStore extends Dexie {
  practices!: EntityTable<PracticeKept, 'id'>
  lines!: EntityTable<LineKept, 'at'>
  marking!: EntityTable<MarkingKept, 'practice'>
  drills!: EntityTable<DrillKept, 'practice'>
  settings!: Table<Setting, string>

  constructor(name = 'halfpoint-practice') {
    super(name, { chromeTransactionDurability: 'strict' })
    // A later version adds a line below, with its upgrade; lines that are here stay.
    this.version(1).stores({
      practices: 'id',
      lines: '++at, practice',
      marking: 'practice',
      drills: 'practice',
      settings: 'key',
    })
  }

  async setting<T>(key: string): Promise<T | null> {
    return ((await this.settings.get(key))?.value as T | undefined) ?? null
  }

  async set(key: string, value: unknown): Promise<void> {
    await this.settings.put({ key, value })
  }

  /** The lines of a practice, in the order in which they were added. */
  async linesOf(practice: string): Promise<string[]> {
    return (await this.lines.where({ practice }).sortBy('at')).map(({ text }) => text)
  }

  /** Begin a practice with these lines, and go to it. */
  async begin(texts: string[], name = '', now = new Date()): Promise<string> {
    const id = uuid()
    await this.transaction('rw', this.practices, this.lines, this.settings, async () => {
      await this.practices.put({ id, name, begun: now.toISOString() })
      await this.add(id, texts)
      await this.set('practice', id)
    })
    return id
  }

  /** Add lines to a practice. */
  async add(practice: string, texts: string[]): Promise<void> {
    await this.lines.bulkAdd(texts.map((text) => ({ practice, text })) as LineKept[])
  }

  /** Change what is being marked, beside or on the sheet. */
  async mark(practice: string, work: (marking: MarkingKept) => MarkingKept): Promise<MarkingKept> {
    return this.transaction('rw', this.marking, async () => {
      const marking = work((await this.marking.get(practice)) ?? emptyMarking(practice))
      await this.marking.put(marking)
      return marking
    })
  }

  async edit(practice: string, change: Change, now = new Date()): Promise<MarkingKept> {
    return this.mark(practice, (kept) => ({ ...kept, draft: edited(kept.draft, change, now) }))
  }

  /** Change the drill that is being poured, as it is stored; the drill after it. */
  async pour(practice: string, work: (drill: DrillKept) => DrillKept): Promise<DrillKept | null> {
    return this.transaction('rw', this.drills, async () => {
      const before = await this.drills.get(practice)
      if (!before) return null
      const drill = work(before)
      await this.drills.put(drill)
      return drill
    })
  }

  /** The wine that was being marked becomes a line. */
  async keep(practice: string, line: string): Promise<void> {
    await this.transaction('rw', this.lines, this.marking, async () => {
      await this.add(practice, [line])
      await this.marking.delete(practice)
    })
  }

  /** The drill that was being poured becomes a line. */
  async finish(practice: string, line: string): Promise<void> {
    await this.transaction('rw', this.lines, this.drills, async () => {
      await this.add(practice, [line])
      await this.drills.delete(practice)
    })
  }
}

export function emptyMarking(practice: string): MarkingKept {
  const draft = emptyDraft(practice, '')
  return { practice, draft, wine: '', another: false, later: false, corrects: null }
}

/** An entry on the rulers again, to be mended. */
export function drafted(practice: string, entry: Entry): Draft {
  const { marks, terms, families, faults, own_words, finish_seconds, remark } = entry
  const written = { marks: { ...marks }, terms, families, faults, own_words, finish_seconds, remark }
  return { ...emptyDraft(practice, ''), ...written }
}
