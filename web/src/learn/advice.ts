/**
 * What to practise next: where a learner is most off, or least is known.
 *
 * As `halfpoint.teach.advice`. Marks of a learner and of the panel differ, on average over wines,
 * by s² + (t − 1)² σ²(wine) + v; each of the three, in each category, is a point to practise. Its
 * worth is the expected square that practice could take away, of which the variance counts as far
 * as one more flight would make it known.
 */
import { FEWEST_WINES, type Calibration } from './calibration'
import { belowNormal, normalDensity } from './normal'
import { holds, type Prior } from './prior'
import type { Known, Reference } from './reference'
import type { PracticeSheet } from './sheet'

export type Aspect = 'severity' | 'spread' | 'steadiness'
const FLIGHT = 6

/** A point to practise, in one category; squares in points² of the total. */
export interface Point {
  category: string
  aspect: Aspect
  /** The expected square that it adds to the gap, as far as marks tell. */
  off: number
  /** What one more flight would make known of it. */
  unknown: number
  /** Whether the interval leaves out the panel's own way, and enough wines say so. */
  sure: boolean
}

export interface Advice {
  point: Point
  found: Calibration
  /** Wines of the reference to pour for it. */
  wines: string[]
}

export const worth = (point: Point) => point.off + point.unknown

/** The most worthwhile point, and what to pour for it; null without any. */
export function advise(
  found: Record<string, Calibration>,
  reference: Reference,
  sheet: PracticeSheet,
): Advice | null {
  const point = points(found, reference, sheet)[0]
  if (!point) return null
  return { point, found: found[point.category]!, wines: winesFor(point, reference) }
}

/** Every point to practise, the most worthwhile first. */
export function points(
  found: Record<string, Calibration>,
  reference: Reference,
  sheet: PracticeSheet,
): Point[] {
  const made = sheet.categories.flatMap(({ key, weight }) => {
    const [one, known, panel] = [found[key], reference.marks[key], reference.priors[key]]
    return one && known && panel ? ofCategory(key, weight, one, known, panel) : []
  })
  return made.sort((a, b) => worth(b) - worth(a))
}

function ofCategory(
  category: string,
  weight: number,
  found: Calibration,
  known: Known,
  panel: Prior,
): Point[] {
  const { severity, spread } = found
  const enough = found.wines >= FEWEST_WINES
  const noise = found.noise.value ** 2
  const size = (weight * known.wine_sd) ** 2
  return [
    {
      category,
      aspect: 'severity',
      off: weight ** 2 * severity.value ** 2,
      unknown: weight ** 2 * taught(severity.se ** 2, FLIGHT / noise),
      sure: enough && !holds(severity, 0),
    },
    {
      category,
      aspect: 'spread',
      off: size * (spread.value - 1) ** 2,
      unknown: size * taught(spread.se ** 2, (FLIGHT * known.wine_sd ** 2) / noise),
      sure: enough && !holds(spread, 1),
    },
    { category, aspect: 'steadiness', ...steadiness(weight, found, panel), sure: enough && found.noise.low > panel.noise },
  ]
}

/** Noise counts above the panel's own, since nobody marks without any. */
function steadiness(weight: number, { noise }: Calibration, panel: Prior): Pick<Point, 'off' | 'unknown'> {
  const mean = noise.value ** 2 + noise.se ** 2 - panel.noise ** 2
  const sd = 2 * noise.value * noise.se
  // The variance of a variance with n degrees of freedom is 2 v² / n.
  const information = FLIGHT / (2 * noise.value ** 4)
  const later = Math.sqrt(Math.max(0, sd ** 2 - taught(sd ** 2, information)))
  const certain = above(mean, later)
  return { off: weight ** 2 * certain, unknown: weight ** 2 * (above(mean, sd) - certain) }
}

/** By how much so much information makes a variance smaller. */
const taught = (variance: number, information: number) => variance - 1 / (1 / variance + information)

/** Expectation of what a normal figure has above zero. */
function above(mean: number, sd: number): number {
  if (sd <= 0) return Math.max(0, mean)
  const ratio = mean / sd
  return sd * normalDensity(ratio) + mean * belowNormal(ratio)
}

/** The two furthest apart for spread; otherwise the two nearest the middle. */
function winesFor(point: Point, reference: Reference): string[] {
  const { score, centre } = reference.marks[point.category]!
  const by = (value: (at: number) => number) =>
    score.map((_, at) => at).sort((a, b) => value(a) - value(b))
  const order =
    point.aspect === 'spread'
      ? by((at) => score[at]!)
      : by((at) => Math.abs(score[at]! - centre)).slice(0, 2)
  const chosen = point.aspect === 'spread' ? [order.at(-1)!, order[0]!] : order
  return [...new Set(chosen)].map((at) => reference.wines[at]!)
}
