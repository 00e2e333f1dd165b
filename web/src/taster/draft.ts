/** What a taster has of one pour on this device, and how it changes. */
import { uuid } from '../parts/uuid'

export interface Problem {
  field: string
  found: string
  expected: string
}
export interface Hint {
  field: string
  message: string
}
export type State = 'kept' | 'already' | 'held' | 'conflict' | 'refused'

/** What the server said of a version. */
export interface Said {
  version: number
  state: State
  entry: number | null
  problems: Problem[]
  hints: Hint[]
}

/** What a taster writes; the server gets exactly this. */
export interface Written {
  marks: Record<string, number | null>
  terms: string[]
  own_words: string[]
  families: string[]
  faults: string[]
  finish_seconds: number | null
  remark: string
}

export interface Draft extends Written {
  /** One for each pour on this device; the same over all versions. */
  id: string
  /** Which seat (see store.ts). */
  seat: string
  code: string
  /** Grows with each edit; it, and never a clock, says which is newer. */
  version: number
  /** When it was last written, ISO 8601, by this device's clock; only noted down. */
  written: string
  /** The taster has gone on to something else, so that it may be sent unfinished too. */
  left: boolean
  /** When the stopwatch was started, by this device's clock; null when it is not running. */
  timing: number | null
  said: Said | null
  /** Hints that the taster has read; they are not shown again. */
  read: string[]
}

export const LONGEST_REMARK = 10_000
export const LONGEST_WORD = 60
export const MOST_WORDS = 40

export function emptyDraft(seat: string, code: string): Draft {
  return {
    id: uuid(),
    seat,
    code,
    version: 0,
    written: '',
    left: false,
    timing: null,
    said: null,
    read: [],
    marks: {},
    terms: [],
    own_words: [],
    families: [],
    faults: [],
    finish_seconds: null,
    remark: '',
  }
}

export type Change = (draft: Readonly<Draft>) => Partial<Written>

/**
 * The next version of a draft, or the same one when nothing is different.
 *
 * A change is a function of what is stored now, so that two tabs never undo each other.
 */
export function edited(draft: Draft, change: Change, now: Date): Draft {
  const changed = change(draft)
  const names = Object.keys(changed) as (keyof Written)[]
  if (names.every((name) => JSON.stringify(changed[name]) === JSON.stringify(draft[name]))) {
    return draft
  }
  return {
    ...draft,
    ...changed,
    version: draft.version + 1,
    written: now.toISOString(),
    left: false,
  }
}

export const setMark =
  (category: string, mark: number | null): Change =>
  (draft) => ({ marks: { ...draft.marks, [category]: mark } })

export const toggle =
  (list: 'terms' | 'families' | 'faults', key: string): Change =>
  (draft) => ({
    [list]: draft[list].includes(key)
      ? draft[list].filter((other) => other !== key)
      : [...draft[list], key],
  })

export const addWord =
  (text: string): Change =>
  (draft) => {
    const word = text.replace(/\s+/g, ' ').trim().slice(0, LONGEST_WORD)
    const known = draft.own_words.some((other) => fold(other) === fold(word))
    if (!word || known || draft.own_words.length >= MOST_WORDS) return {}
    return { own_words: [...draft.own_words, word] }
  }

export const removeWord =
  (word: string): Change =>
  (draft) => ({ own_words: draft.own_words.filter((other) => other !== word) })

export const setFinish =
  (seconds: number | null): Change =>
  () => ({ finish_seconds: seconds })

export const setRemark =
  (text: string): Change =>
  () => ({ remark: text.slice(0, LONGEST_REMARK) })

/** Letters as they are compared: capitals and accents do not matter. */
export function fold(text: string): string {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase()
}

/** Whether every category has a mark. */
export function isComplete(draft: Written, categories: { key: string }[]): boolean {
  return categories.every(({ key }) => typeof draft.marks[key] === 'number')
}

/** Whether anything at all is written on it. */
export function isBegun(draft: Written | undefined): boolean {
  if (!draft) return false
  return (
    Object.values(draft.marks).some((mark) => mark !== null) ||
    draft.terms.length + draft.own_words.length + draft.families.length > 0 ||
    draft.faults.length > 0 ||
    draft.finish_seconds !== null ||
    draft.remark.trim() !== ''
  )
}

/** Hints to show: those of the newest version that have not been read. */
export function freshHints(draft: Draft | undefined): Hint[] {
  if (!draft?.said || draft.said.version !== draft.version) return []
  return draft.said.hints.filter((hint) => !draft.read.includes(hintName(hint)))
}

export const hintName = (hint: Hint) => `${hint.field}: ${hint.message}`
