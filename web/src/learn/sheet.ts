/** A score sheet as a practice file holds it, and as the rulers show it. */
import type { components } from '../api/schema'

export type ScoreSheet = components['schemas']['ScoreSheet']

export interface PracticeSheet {
  key: string
  label: string
  about: string
  language?: string
  categories: (ScoreSheet['categories'][number] & { [more: string]: unknown })[]
  families: ScoreSheet['families']
  faults: (ScoreSheet['faults'][number] & { [more: string]: unknown })[]
  finish: { label: string; from_seconds: number; to_seconds: number | null; [more: string]: unknown }[]
}

type Ends = Pick<PracticeSheet, 'categories'>

/** The highest total. */
export const topOf = (sheet: Ends) =>
  sheet.categories.reduce((sum, { top, weight }) => sum + top * weight, 0)

/** The lowest total. */
export const lowestOf = (sheet: Ends) =>
  sheet.categories.reduce((sum, { lowest, weight }) => sum + lowest * weight, 0)

/** The sheet for the taster's rulers. */
export function shownSheet(sheet: PracticeSheet): ScoreSheet {
  const finish = sheet.finish.map(({ label, from_seconds, to_seconds }) => ({
    label,
    low: from_seconds,
    high: to_seconds,
  }))
  return { ...sheet, finish, top: topOf(sheet), language: sheet.language ?? '' }
}

/** A sheet as it was read, if it is one; its other parts are kept as they are. */
export function asSheet(raw: unknown): PracticeSheet | null {
  const sheet = raw as Partial<PracticeSheet> | null
  if (!sheet || typeof sheet !== 'object' || typeof sheet.key !== 'string') return null
  if (typeof sheet.label !== 'string' || !Array.isArray(sheet.categories)) return null
  const { categories, families = [], faults = [], finish = [] } = sheet
  const sound =
    categories.length > 0 &&
    categories.every(isCategory) &&
    [families, faults, finish].every(Array.isArray) &&
    families.every((each) => isNamed(each) && Array.isArray(each.terms) && each.terms.every(isNamed)) &&
    faults.every(isNamed) &&
    finish.every((each) => typeof each?.label === 'string' && Number.isFinite(each.from_seconds))
  if (!sound) return null
  return { ...sheet, about: String(sheet.about ?? ''), families, faults, finish } as PracticeSheet
}

function isCategory(raw: PracticeSheet['categories'][number]): boolean {
  if (!isNamed(raw) || !Array.isArray(raw.guidance) || typeof raw.question !== 'string') return false
  const { lowest, top, step, weight } = raw
  return [lowest, top, step, weight].every(Number.isFinite) && step > 0 && weight > 0 && top > lowest
}

function isNamed(raw: { key?: unknown; label?: unknown } | null): boolean {
  return typeof raw?.key === 'string' && typeof raw.label === 'string'
}
