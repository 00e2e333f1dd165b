/**
 * What a file holds that a learner opens: a practice, or a set from the organiser.
 *
 * A set is what `halfpoint practice --set` writes, one JSON object with a sheet and a reference.
 */
import { beganLine, readDiary, type Diary } from './diary'

/** Why a file is of no use: a result is the organiser's, `later` is of a version to come. */
export type Unfit = 'empty' | 'result' | 'phone' | 'later' | 'broken-set' | 'other'

export type Opened =
  | { lines: string[]; diary: Diary; isSet: boolean }
  | { unfit: Unfit }

const FORM = 1

export function opened(text: string): Opened {
  if (!text.trim()) return { unfit: 'empty' }
  const whole = asObject(text)
  if (whole?.['kind'] === 'practice_set') return asSet(whole)
  if (whole && 'wines' in whole && 'categories' in whole) return { unfit: 'result' }
  if (whole?.['format'] === 'halfpoint-phone') return { unfit: 'phone' }
  const lines = text.split(/\r?\n/).filter((line) => line.trim())
  const diary = readDiary(lines)
  return diary ? { lines, diary, isSet: false } : { unfit: 'other' }
}

function asSet(whole: Record<string, unknown>): Opened {
  if (whole['form'] !== FORM) return { unfit: 'later' }
  const { sheet, reference } = whole as { sheet: never; reference: never }
  const lines = [beganLine(sheet, reference)]
  const diary = readDiary(lines)
  // A set is for comparing; without a reference it is none.
  if (!diary?.stages[0]?.reference) return { unfit: 'broken-set' }
  return { lines, diary, isSet: true }
}

function asObject(text: string): Record<string, unknown> | null {
  try {
    const whole: unknown = JSON.parse(text)
    return typeof whole === 'object' ? (whole as Record<string, unknown> | null) : null
  } catch {
    return null
  }
}

/** How one practice goes on in another: the lines to add, or null where they part ways. */
export function continues(here: string[], there: string[]): string[] | null {
  const shared = Math.min(here.length, there.length)
  const same = here.slice(0, shared).every((line, at) => line === there[at])
  return same ? there.slice(shared) : null
}

/** Whether two sheets are the same one. */
export const sameSheet = (one: unknown, other: unknown) => ordered(one) === ordered(other)

const ordered = (value: unknown) =>
  JSON.stringify(value, (_, each: unknown) =>
    each && typeof each === 'object' && !Array.isArray(each)
      ? Object.fromEntries(Object.entries(each).sort(([a], [b]) => (a < b ? -1 : 1)))
      : each,
  )
