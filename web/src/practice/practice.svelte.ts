/** Practice as this device has it: what is kept, and what it says so far. */
import { liveQuery } from 'dexie'
import {
  beganLine, drilledLine, markedLine, readDiary, type Diary, type Drilled, type Entry,
} from '../learn/diary'
import { continues, opened, sameSheet, type Opened, type Unfit } from '../learn/opened'
import { follow, type Progress } from '../learn/progress'
import { shownSheet, type PracticeSheet, type ScoreSheet } from '../learn/sheet'
import { totalOf } from '../parts/scale'
import { fold, type Draft } from '../taster/draft'
import { keepForGood } from '../taster/safety.svelte'
import { remembered } from './foresee'
import { PracticeStore, type DrillKept, type MarkingKept, type PracticeKept } from './store'
import { today } from './today'

/** One practice as far as it is written down. */
export interface Shown {
  kept: PracticeKept
  lines: string[]
  diary: Diary
  sheet: ScoreSheet
}

/** What is under way. */
interface UnderWay {
  marking: MarkingKept | null
  drill: DrillKept | null
  /** Families of aromas that the learner opened. */
  open: string[]
  /** The day on which the cautions were read last. */
  cautioned: string
}

/** How a file that was opened came in. */
export type CameIn = 'begun' | 'joined' | 'beside' | 'another-sheet' | 'known'

class Practice {
  readonly store = new PracticeStore()
  /** What is stored was read for the first time. */
  ready = $state(false)
  broken = $state<string | null>(null)
  practices = $state.raw<PracticeKept[]>([])
  shown = $state.raw<Shown | null>(null)
  underWay = $state.raw<UnderWay>({ marking: null, drill: null, open: [], cautioned: '' })
  /** Worked out when it is looked at: while a wine is marked nothing is. */
  progress = $derived<Progress | null>(this.shown && follow(this.shown.diary, remembered))
  #started = false
  /** How many changes are being stored. */
  #pending = 0

  start(): void {
    if (this.#started) return
    this.#started = true
    const error = (failure: unknown) => this.#cannotStore(failure)
    liveQuery(() => this.#readUnderWay()).subscribe({ next: (found) => (this.underWay = found), error })
    liveQuery(() => this.#read()).subscribe({
      next: ([practices, shown]) => {
        this.practices = practices
        // What is shown already is not worked out again.
        if (!sameLines(this.shown, shown)) this.shown = shown
        this.ready = true
      },
      error,
    })
  }

  /** Begin with own bottles, on this sheet. */
  async beginOwn(sheet: PracticeSheet, name: string): Promise<void> {
    await this.#storing(() => this.store.begin([beganLine(sheet, null)], name))
  }

  /** Take in a file, or say why it is of no use. */
  async take(text: string): Promise<CameIn | Unfit> {
    const file = opened(text)
    if ('unfit' in file) return file.unfit
    return (await this.#storing(() => this.#takeIn(file))) ?? 'other'
  }

  async choose(id: string): Promise<void> {
    await this.#storing(() => this.store.set('practice', id))
  }

  async openFamilies(open: string[]): Promise<void> {
    await this.#storing(() => this.store.set('open', open))
  }

  async hasReadCautions(): Promise<void> {
    await this.#storing(() => this.store.set('cautioned', today()))
  }

  /** Change what is being marked of the practice that is shown. */
  async mark(work: (marking: MarkingKept) => MarkingKept): Promise<void> {
    await this.#marking((id) => this.store.mark(id, work))
  }

  edit = async (change: Parameters<PracticeStore['edit']>[1]): Promise<void> => {
    await this.#marking((id) => this.store.edit(id, change))
    keepForGood()
  }

  /**
   * Keep the wine that is being marked, then go on with which of the diary it is; false when it is
   * not whole yet. What was touched a moment before counts: while it is being stored, that is waited
   * for. Every mark is on the disk already, so the page goes on while the line is written.
   */
  async keep(session: string, goOn: (place: string, later: boolean) => void): Promise<boolean> {
    const { shown } = this
    const marking = this.#pending
      ? shown && (await this.#storing(() => this.store.marking.get(shown.kept.id)))
      : this.underWay.marking
    const entry = shown && marking && entryOf(shown.diary, marking)
    if (!entry) return false
    const { stages } = shown.diary
    const place = `${stages.length - 1}.${stages.at(-1)!.marked.length}`
    const marked = { session: marking.corrects ?? session, entry, corrects: marking.corrects !== null }
    const line = markedLine(marked)
    this.shown = read(shown.kept, [...shown.lines, line])
    this.underWay = { ...this.underWay, marking: null }
    goOn(place, marking.later)
    await this.#storing(() => this.store.keep(shown.kept.id, line))
    return true
  }

  async beginDrill(drill: Omit<DrillKept, 'practice'>): Promise<void> {
    await this.#here(async (practice) => {
      await this.store.drills.put({ ...drill, practice })
    })
  }

  /** Go on in the drill, as it is stored. */
  async pour(work: (drill: DrillKept) => DrillKept): Promise<void> {
    await this.#here(async (id) => {
      const drill = await this.store.pour(id, work)
      this.underWay = { ...this.underWay, drill }
    })
  }

  async giveUpDrill(): Promise<void> {
    await this.#here((id) => this.store.drills.delete(id))
  }

  async finishDrill(drilled: Drilled): Promise<void> {
    await this.#here((id) => this.store.finish(id, drilledLine(drilled)))
  }

  async #takeIn(file: Extract<Opened, { lines: string[] }>): Promise<CameIn> {
    // As it is stored, whether or not a page shows it.
    const [practices, here] = await this.#read()
    if (file.isSet && here) {
      if (!sameSheet(file.diary.sheet, here.diary.sheet)) {
        await this.store.begin(file.lines, titleOf(file))
        return 'another-sheet'
      }
      const known = here.diary.stages.at(-1)!.reference
      if (sameSheet(known, file.diary.stages[0]!.reference)) return 'known'
      await this.store.add(here.kept.id, file.lines)
      await this.store.practices.update(here.kept.id, { name: titleOf(file) })
      return 'joined'
    }
    for (const { id } of practices) {
      const more = continues(await this.store.linesOf(id), file.lines)
      if (!more) continue
      await this.store.add(id, more)
      await this.store.set('practice', id)
      return more.length ? 'joined' : 'known'
    }
    await this.store.begin(file.lines, titleOf(file))
    return practices.length ? 'beside' : 'begun'
  }

  async #read(): Promise<[PracticeKept[], Shown | null]> {
    const practices = await this.store.practices.toArray()
    const id = await this.store.setting<string>('practice')
    const kept = practices.find((each) => each.id === id) ?? practices[0]
    if (!kept) return [practices, null]
    return [practices, read(kept, await this.store.linesOf(kept.id))]
  }

  async #readUnderWay(): Promise<UnderWay> {
    const id = (await this.store.setting<string>('practice')) ?? ''
    return {
      marking: (await this.store.marking.get(id)) ?? null,
      drill: (await this.store.drills.get(id)) ?? null,
      open: (await this.store.setting<string[]>('open')) ?? [],
      cautioned: (await this.store.setting<string>('cautioned')) ?? '',
    }
  }

  /** Change what is being marked; shown as soon as it is stored. */
  async #marking(work: (practice: string) => Promise<MarkingKept>): Promise<void> {
    this.#pending++
    await this.#here(async (id) => {
      this.underWay = { ...this.underWay, marking: await work(id) }
    })
    this.#pending--
  }

  async #here(work: (practice: string) => Promise<void>): Promise<void> {
    const id = this.shown?.kept.id
    if (id) await this.#storing(() => work(id))
  }

  async #storing<T>(work: () => Promise<T>): Promise<T | null> {
    try {
      return await work()
    } catch (failure) {
      this.#cannotStore(failure)
      return null
    }
  }

  #cannotStore(failure: unknown): void {
    console.error(failure)
    this.broken = failure instanceof Error ? failure.message : String(failure)
    this.ready = true
  }
}

function read(kept: PracticeKept, lines: string[]): Shown | null {
  const diary = readDiary(lines)
  return diary && { kept, lines, diary, sheet: shownSheet(diary.sheet) }
}

function sameLines(one: Shown | null, other: Shown | null): boolean {
  return (
    one?.kept.id === other?.kept.id &&
    one?.kept.name === other?.kept.name &&
    one?.lines.length === other?.lines.length &&
    (one?.lines.every((line, at) => line === other?.lines[at]) ?? true)
  )
}

/** What is marked as an entry; null while a mark or the wine is missing. */
export function entryOf({ sheet, stages }: Diary, { draft, wine }: MarkingKept): Entry | null {
  const marks: Record<string, number> = {}
  for (const { key } of sheet.categories) {
    const mark = draft.marks[key]
    if (typeof mark !== 'number') return null
    marks[key] = mark
  }
  const name = wine.replace(/\s+/g, ' ').trim()
  if (!name) return null
  // A wine of the panel by any way of writing it.
  const known = stages.at(-1)?.reference?.wines.find((each) => fold(each) === fold(name))
  return { wine: known ?? name, marks, total: totalOf(sheet.categories, marks), ...wordsOf(draft) }
}

const titleOf = ({ diary }: Extract<Opened, { lines: string[] }>) =>
  diary.stages.at(-1)?.reference?.title ?? ''

function wordsOf({ terms, families, faults, own_words, finish_seconds, remark }: Draft): Omit<Entry, 'wine' | 'marks' | 'total'> {
  return { terms, families, faults, own_words, finish_seconds, remark }
}

export const practice = new Practice()
