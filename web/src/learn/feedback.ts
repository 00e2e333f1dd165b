/** What a learner is told after each wine; as `halfpoint.teach.feedback`. */
import type { Entry } from './diary'
import { TOTAL, type Known, type Reference } from './reference'
import { lowestOf, topOf, type PracticeSheet } from './sheet'

const REACH = 1.96

/**
 * The learner's mark beside the panel's.
 *
 * `low` to `high` is where the panel's mark for this very bottle lies 95 times in 100; `gap` the
 * learner's mark less `panel`, times the weight of the category in the total.
 */
export interface Beside {
  key: string
  own: number
  panel: number
  low: number
  high: number
  gap: number
}

export interface Feedback {
  wine: string
  /** Null where there is no reference. */
  total: Beside | null
  categories: Beside[]
  /** What makes most of the gap; null where it is small or no category stands out. */
  driver: Beside | null
  /** Keys of aroma terms. */
  shared: string[]
  missed: string[]
  alone: string[]
}

export const isWithin = (one: Beside) => one.low <= one.own && one.own <= one.high

/** What there is to say of one entry, from the reference where it has this wine. */
export function feedBack(entry: Entry, sheet: PracticeSheet, reference: Reference | null): Feedback {
  const at = reference?.wines.indexOf(entry.wine) ?? -1
  if (!reference || at < 0) {
    return { wine: entry.wine, total: null, categories: [], driver: null, shared: [], missed: [], alone: [] }
  }
  const whole = reference.marks[TOTAL]
  const total = whole
    ? beside(TOTAL, entry.total, whole, at, { lowest: lowestOf(sheet), top: topOf(sheet), weight: 1 })
    : null
  const categories = sheet.categories.flatMap((category) => {
    const known = reference.marks[category.key]
    const own = entry.marks[category.key]
    return known && own !== undefined ? [beside(category.key, own, known, at, category)] : []
  })
  const driver = driverOf(total, categories, sheet)
  return { wine: entry.wine, total, categories, driver, ...aromas(entry, reference) }
}

function beside(
  key: string,
  own: number,
  known: Known,
  at: number,
  part: { lowest: number; top: number; weight: number },
): Beside {
  const reach = REACH * Math.sqrt(known.covariance[at]![at]! + known.bottle_sd ** 2)
  const panel = known.score[at]!
  return {
    key,
    own,
    panel,
    low: Math.max(part.lowest, panel - reach),
    high: Math.min(part.top, panel + reach),
    gap: (own - panel) * part.weight,
  }
}

/** The category whose gap is largest, and goes the way of the total's, by a step or more. */
function driverOf(total: Beside | null, categories: Beside[], sheet: PracticeSheet): Beside | null {
  if (!total || isWithin(total)) return null
  const along = categories.filter((one) => one.gap * total.gap > 0 && !isWithin(one))
  const most = Math.max(...along.map((one) => Math.abs(one.gap)))
  const largest = along.find((one) => Math.abs(one.gap) === most)
  if (!largest || most < Math.abs(total.gap) / 3) return null
  const step = sheet.categories.find(({ key }) => key === largest.key)!.step
  return Math.abs(largest.own - largest.panel) >= step ? largest : null
}

function aromas(entry: Entry, reference: Reference): Pick<Feedback, 'shared' | 'missed' | 'alone'> {
  const known = reference.terms[entry.wine]
  if (!known) return { shared: [], missed: [], alone: [] }
  const often = known.map(({ key }) => key)
  return {
    shared: often.filter((key) => entry.terms.includes(key)),
    missed: often.filter((key) => !entry.terms.includes(key)),
    alone: entry.terms.filter((key) => !often.includes(key)),
  }
}
