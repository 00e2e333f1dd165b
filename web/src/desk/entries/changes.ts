/** What a correction changes: the sheet as it reads now against the sheet as it is wanted. */
import { emptyDraft, type Draft, type Written } from '../../taster/draft'
import type { EntryShown } from '../types'

/** Where a sheet is from: by room, seat and code, or without a plan by names. */
export type From = Partial<Record<'site' | 'seat' | 'code' | 'taster' | 'wine', string>>
export interface Wanted {
  draft: Draft
  from: From
  band: string
}
export type Changes = Record<string, number | string | string[] | null>

const LISTS = ['terms', 'families', 'faults', 'own_words'] as const
const ALIKE = ['finish_seconds', 'remark'] as const satisfies (keyof Written)[]

/** The sheet as it reads now, to be changed. */
export function wantedOf(shown: EntryShown): Wanted {
  const { marks, terms, families, faults, own_words, finish_seconds, remark } = shown
  const draft = {
    ...emptyDraft('', shown.entry.code),
    ...{ marks, terms, families, faults, own_words, finish_seconds, remark },
  }
  return { draft, from: fromOf(shown), band: shown.finish_band }
}

function fromOf({ entry, names }: EntryShown): From {
  return names ? { ...names } : { site: entry.site, seat: String(entry.seat ?? ''), code: entry.code }
}

/** Each field that reads otherwise than it is wanted; lists are given whole. */
export function changesOf(shown: EntryShown, { draft, from, band }: Wanted): Changes {
  const changes: Changes = {}
  for (const [key, mark] of Object.entries(draft.marks)) {
    if (mark !== shown.marks[key]) changes[key] = mark
  }
  for (const name of LISTS) {
    if (!sameWords(draft[name], shown[name])) changes[name] = draft[name]
  }
  for (const name of ALIKE) {
    if (draft[name] !== shown[name]) changes[name] = draft[name]
  }
  const now: Record<string, string> = fromOf(shown)
  for (const [name, text] of Object.entries(from)) {
    if (text.trim() !== now[name]) changes[name] = text.trim()
  }
  if (band !== shown.finish_band) changes['finish_band'] = band
  return changes
}

const sameWords = (one: string[], other: string[]) =>
  JSON.stringify([...one].sort()) === JSON.stringify([...other].sort())
