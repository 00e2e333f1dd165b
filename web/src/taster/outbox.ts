/** What is to be sent, in which parcels, and when to try again: no network and no storage here. */
import { isBegun, isComplete, type Draft, type Said, type Written } from './draft'

export const MOST_ENTRIES = 64
export const MOST_BYTES = 200 * 1024

/** One pour as the server takes it (`SentEntry` of the API). */
export interface Sent extends Written {
  id: string
  version: number
  code: string
  written: string
  complete: boolean
}

export type Standing = 'empty' | 'begun' | 'waiting' | 'sent' | 'look'

/** Where a pour stands: nothing yet, begun, waiting to be sent, sent, or sent and needs a look. */
export function standing(draft: Draft | undefined, categories: { key: string }[]): Standing {
  if (!draft || draft.version === 0) return 'empty'
  if (draft.said?.version === draft.version) {
    const calm = draft.said.state === 'kept' || draft.said.state === 'already'
    if (calm) return isBegun(draft) ? 'sent' : 'empty'
    return isComplete(draft, categories) || draft.said.state === 'conflict' ? 'look' : 'begun'
  }
  if (isWaiting(draft, categories)) return 'waiting'
  return isBegun(draft) ? 'begun' : 'empty'
}

/** Whether a version is ready to go and has not been answered yet. */
export function isWaiting(draft: Draft, categories: { key: string }[]): boolean {
  if (draft.version === 0 || (draft.said?.version ?? 0) >= draft.version) return false
  // What was never sent and is empty again need not be sent.
  if (!isBegun(draft) && draft.said === null) return false
  return draft.left || isComplete(draft, categories)
}

export function asSent(draft: Draft, categories: { key: string }[]): Sent {
  return {
    id: draft.id,
    version: draft.version,
    code: draft.code,
    marks: Object.fromEntries(categories.map(({ key }) => [key, draft.marks[key] ?? null])),
    terms: draft.terms,
    own_words: draft.own_words,
    families: draft.families,
    faults: draft.faults,
    finish_seconds: draft.finish_seconds,
    remark: draft.remark,
    written: draft.written,
    complete: isComplete(draft, categories),
  }
}

/** Parcels that the server takes: at most 64 pours and 200 KB each. */
export function parcels(entries: Sent[]): Sent[][] {
  const found: Sent[][] = []
  let size = 0
  for (const entry of entries) {
    const bytes = new TextEncoder().encode(JSON.stringify(entry)).length
    const last = found.at(-1)
    if (!last || last.length >= MOST_ENTRIES || size + bytes > MOST_BYTES) {
      found.push([entry])
      size = bytes
    } else {
      last.push(entry)
      size += bytes
    }
  }
  return found
}

/**
 * A draft after an answer. An answer about an older version settles only that version: what was
 * written meanwhile stays waiting.
 */
export function settled(draft: Draft, answer: Said): Draft {
  if (answer.version > draft.version || answer.version < (draft.said?.version ?? 0)) return draft
  return { ...draft, said: answer }
}

/** Milliseconds to wait after so many failures in a row: 2 s, doubling, at most 5 minutes. */
export function pauseAfter(failures: number, chance: () => number = Math.random): number {
  const longest = Math.min(2_000 * 2 ** Math.max(0, failures - 1), 300_000)
  // Half of it by chance, so that a room of phones does not come back all at once.
  return Math.round(longest * (0.5 + 0.5 * chance()))
}
