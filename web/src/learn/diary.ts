/**
 * A learner's practice, line by line, only ever added to; the file of `halfpoint.teach.diary`.
 *
 * JSON Lines: one begins a practice with its sheet and what a panel said, one is a wine marked,
 * one a drill. A later line may correct an earlier one. A line that cannot be understood is told
 * and left as it is.
 */
import type { Test } from './difference'
import type { Prior } from './prior'
import { TOTAL, type Known, type Reference } from './reference'
import { asSheet, type PracticeSheet } from './sheet'

const FORM = 1
export const LEARNER = 'learner'

/** One sheet for one wine. */
export interface Entry {
  wine: string
  marks: Record<string, number>
  total: number
  terms: string[]
  families: string[]
  faults: string[]
  own_words: string[]
  finish_seconds: number | null
  remark: string
}

/** One wine marked in one session; `corrects` says that it stands for the one before. */
export interface Marked {
  session: string
  entry: Entry
  corrects: boolean
}

export interface Drilled {
  session: string
  test: Test
  answers: number
  right: number
  pair: string
}

/** Marks that have one reference, from a panel or none; `own` is a prior of one's own. */
export interface Stage {
  reference: Reference | null
  own: Prior | null
  marked: Marked[]
}

export interface Diary {
  sheet: PracticeSheet
  stages: Stage[]
  drilled: Drilled[]
  /** Numbers of lines that could not be understood. */
  unread: number[]
}

/** Everything that the lines hold; null when none of them begins a practice. */
export function readDiary(lines: string[]): Diary | null {
  let sheet: PracticeSheet | null = null
  const stages: Stage[] = []
  const drilled: Drilled[] = []
  const unread: number[] = []
  lines.forEach((line, at) => {
    if (!line.trim()) return
    const found = lineOf(line)
    const last = stages.at(-1)
    if (found && 'reference' in found) {
      sheet ??= found.sheet
      stages.push({ reference: found.reference, own: found.own, marked: [] })
    } else if (found && 'entry' in found && last && sheet && isWhole(found.entry, sheet)) {
      last.marked.push(found)
    } else if (found && 'right' in found) drilled.push(found)
    else unread.push(at + 1)
  })
  return sheet && { sheet, stages, drilled, unread }
}

/** The marks that count: a correction stands in the place of what it corrects. */
export function standing(marked: Marked[]): Marked[] {
  const kept: Marked[] = []
  for (const one of marked) {
    const same = kept.findLastIndex(
      (other) => other.session === one.session && other.entry.wine === one.entry.wine,
    )
    if (one.corrects && same >= 0) kept[same] = one
    else kept.push(one)
  }
  return kept
}

export const beganLine = (sheet: PracticeSheet, reference: Reference | null, own: Prior | null = null) =>
  JSON.stringify({ kind: 'begun', form: FORM, sheet, reference, own })

export function markedLine({ session, entry, corrects }: Marked): string {
  const told = Object.entries({ taster: LEARNER, ...entry }).filter(
    ([, value]) => value !== null && value !== '' && !(Array.isArray(value) && !value.length),
  )
  return JSON.stringify({ kind: 'marked', session, corrects, entry: Object.fromEntries(told) })
}

export const drilledLine = (drilled: Drilled) => JSON.stringify({ kind: 'drilled', ...drilled })

type Raw = Record<string, unknown>
type Begun = { sheet: PracticeSheet } & Omit<Stage, 'marked'>

type Line = Begun | Marked | Drilled | null

// Lines never change, so that each is read once; the same line gives the same reference, by which
// others remember what they worked out.
const before = new Map<string, Line>()
const MOST_KEPT = 5000

function lineOf(text: string): Line {
  const known = before.get(text)
  if (known !== undefined) return known
  if (before.size >= MOST_KEPT) before.clear()
  const record = parsed(text)
  const found = asBegun(record) ?? asMarked(record) ?? asDrilled(record)
  before.set(text, found)
  return found
}

function parsed(line: string): Raw | null {
  try {
    const record: unknown = JSON.parse(line)
    return typeof record === 'object' ? (record as Raw | null) : null
  } catch {
    return null
  }
}

function asBegun(record: Raw | null): Begun | null {
  if (record?.['kind'] !== 'begun') return null
  const sheet = asSheet(record['sheet'])
  const [reference, own] = [record['reference'] ?? null, record['own'] ?? null]
  if (!sheet || (reference !== null && !isReference(reference, sheet)) || (own !== null && !isPrior(own))) {
    return null
  }
  return { sheet, reference, own }
}

function asMarked(record: Raw | null): Marked | null {
  const entry = record?.['entry'] as Partial<Entry> | null | undefined
  if (record?.['kind'] !== 'marked' || typeof entry?.wine !== 'string' || !entry.marks) return null
  const { marks } = entry
  if (!Number.isFinite(entry.total)) return null
  return {
    session: String(record['session']),
    corrects: Boolean(record['corrects']),
    entry: {
      wine: entry.wine,
      marks,
      total: entry.total!,
      terms: entry.terms ?? [],
      families: entry.families ?? [],
      faults: entry.faults ?? [],
      own_words: entry.own_words ?? [],
      finish_seconds: entry.finish_seconds ?? null,
      remark: entry.remark ?? '',
    },
  }
}

/** Whether every category of the sheet has a mark. */
const isWhole = ({ marks }: Entry, sheet: PracticeSheet) =>
  sheet.categories.every(({ key }) => Number.isFinite(marks[key]))

function asDrilled(record: Raw | null): Drilled | null {
  if (record?.['kind'] !== 'drilled') return null
  const { test, answers, right } = record as unknown as Drilled
  if (test !== 'triangle' && test !== 'duo-trio') return null
  if (!Number.isInteger(answers) || !Number.isInteger(right) || right < 0 || right > answers) return null
  return { session: String(record['session']), test, answers, right, pair: String(record['pair'] ?? '') }
}

/** Whether figures are of the reference's own wines, on this sheet. */
function isReference(raw: unknown, sheet: PracticeSheet): raw is Reference {
  const { title, wines, marks, priors, terms } = raw as Partial<Reference>
  if (typeof title !== 'string' || !Array.isArray(wines) || !marks || !priors || !terms) return false
  if (!wines.length || new Set(wines).size !== wines.length || !marks[TOTAL]) return false
  const keys = [TOTAL, ...sheet.categories.map(({ key }) => key)]
  return Object.entries(marks).every(
    ([key, known]) => keys.includes(key) && isPrior(priors[key]) && isKnown(known, wines.length),
  )
}

function isKnown({ score, covariance, centre, wine_sd, bottle_sd }: Known, wines: number): boolean {
  return (
    [centre, wine_sd, bottle_sd].every(Number.isFinite) &&
    wine_sd > 0 &&
    isRow(score, wines) &&
    Array.isArray(covariance) &&
    covariance.length === wines &&
    covariance.every((row) => isRow(row, wines))
  )
}

const isRow = (raw: unknown, size: number) =>
  Array.isArray(raw) && raw.length === size && raw.every(Number.isFinite)

function isPrior(raw: unknown): raw is Prior {
  const { severity, severity_sd, spread, spread_sd, noise, freedom } = (raw ?? {}) as Partial<Prior>
  const positive = [severity_sd, spread_sd, noise, freedom]
  return (
    [severity, spread, ...positive].every(Number.isFinite) && positive.every((each) => (each ?? 0) > 0)
  )
}
