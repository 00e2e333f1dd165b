/** The guide of a sheet: from the server, from what it said last, or the usual sheet's. */
import { call } from '../api/call'
import usual from './twenty-point.json'

type Usual = typeof usual
export type Rule = Usual['stages'][number]['lines'][number]['ruler']
export type Line = Usual['stages'][number]['lines'][number]
export type Guide = Omit<Usual, 'clock'> & { clock: Rule | null }

const KEPT = 'halfpoint-guide'

/** What is at hand at once. */
export function atHand(): Guide {
  try {
    const kept = JSON.parse(localStorage.getItem(KEPT) ?? 'null') as Guide | null
    if (kept && Array.isArray(kept.stages) && Array.isArray(kept.examples)) return kept
  } catch {
    // A browser that keeps nothing shows the usual sheet until the server answers.
  }
  return usual
}

/** The guide of the sheet that is marked on here; null where no server can be reached. */
export async function fetchGuide(): Promise<Guide | null> {
  let told: Guide
  try {
    told = await call<Guide>('/api/guide')
  } catch {
    return null
  }
  try {
    localStorage.setItem(KEPT, JSON.stringify(told))
  } catch {
    // Without room it is asked for again next time.
  }
  return told
}

/** Where a value lies on a ruler, in per cent of its width. */
export function along(ruler: Rule, value: number): number {
  return ruler.high > ruler.low ? (100 * (value - ruler.low)) / (ruler.high - ruler.low) : 0
}
