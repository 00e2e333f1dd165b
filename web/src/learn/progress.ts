/** From session to session: what a learner's marks say so far; as `halfpoint.teach.progress`. */
import { calibrate, FEWEST_WINES, type Calibration } from './calibration'
import { standing, type Diary, type Entry, type Marked, type Stage } from './diary'
import { carried, KEPT_TO_NEXT_SESSION, KEPT_TO_NEXT_YEAR, type Prior } from './prior'
import { TOTAL, type Reference } from './reference'

type Found = Record<string, Calibration>
export type Calibrate = typeof calibrate

/**
 * One session; `found` is by category key, and 'total', empty where no wine had a reference.
 *
 * What was found before is the prior; `wines` of each is over all sessions, `marks` of this one.
 */
export interface SessionFound {
  session: string
  entries: Entry[]
  compared: number
  found: Found
}

/** Second pours of any wine: the standard deviation of a total given again, in points. */
export interface OwnSteadiness {
  sd: number
  pairs: number
}

export interface Progress {
  sessions: SessionFound[]
  /** What the last session says. */
  now: Found
  /** How many wines were compared. */
  wines: number
  steadiness: OwnSteadiness | null
}

/** Go through a practice session by session; `by` may remember what it has worked out before. */
export function follow(diary: Diary, by: Calibrate = calibrate): Progress {
  const sessions: SessionFound[] = []
  let now: Found = {}
  const met = new Set<string>()
  diary.stages.forEach((stage, number) => {
    let kept = number ? KEPT_TO_NEXT_YEAR : KEPT_TO_NEXT_SESSION
    for (const [session, entries] of inSessions(stage)) {
      const priors = priorsOf(stage, now, kept)
      const known = compared(entries, stage.reference)
      known.forEach(({ wine }) => met.add(`${number} ${wine}`))
      const found = restingOn(foundIn(known, stage.reference, priors, by), met.size)
      sessions.push({ session, entries, compared: known.length, found })
      now = { ...now, ...found }
      kept = KEPT_TO_NEXT_SESSION
    }
  })
  return { sessions, now, wines: met.size, steadiness: steadinessOf(sessions) }
}

/** What counts, sessions in the order in which each began. */
function inSessions(stage: Stage): Map<string, Entry[]> {
  const groups = new Map<string, Entry[]>()
  standing(stage.marked).forEach(({ session, entry }: Marked) => {
    groups.set(session, [...(groups.get(session) ?? []), entry])
  })
  return groups
}

function compared(entries: Entry[], reference: Reference | null): Entry[] {
  // A spoiled bottle would make anybody look severe.
  return entries.filter(({ wine, faults }) => reference?.wines.includes(wine) && !faults.length)
}

function priorsOf(stage: Stage, before: Found, kept: number): Record<string, Prior> {
  if (!stage.reference) return {}
  const panel = stage.reference.priors
  const priors = { ...panel }
  if (stage.own) priors[TOTAL] = stage.own
  for (const [key, found] of Object.entries(before)) {
    if (panel[key]) priors[key] = carried(panel[key], found, kept)
  }
  return priors
}

function foundIn(
  known: Entry[],
  reference: Reference | null,
  priors: Record<string, Prior>,
  by: Calibrate,
): Found {
  if (!reference || !known.length) return {}
  const wine = known.map((entry) => reference.wines.indexOf(entry.wine))
  return Object.fromEntries(
    Object.entries(reference.marks).map(([key, marks]) => {
      const own = known.map((entry) => (key === TOTAL ? entry.total : entry.marks[key]!))
      return [key, by(own, wine, marks, priors[key]!)]
    }),
  )
}

/** The same, resting on so many wines over all sessions that it takes into account. */
function restingOn(found: Found, wines: number): Found {
  return Object.fromEntries(
    Object.entries(found).map(([key, one]) => [
      key,
      { ...one, wines, told: wines >= FEWEST_WINES && !one.sameMark },
    ]),
  )
}

function steadinessOf(sessions: SessionFound[]): OwnSteadiness | null {
  let [squares, pairs] = [0, 0]
  for (const { entries } of sessions) {
    for (const totals of byWine(entries)) {
      const mean = totals.reduce((sum, { total }) => sum + total, 0) / totals.length
      squares += totals.reduce((sum, { total }) => sum + (total - mean) ** 2, 0)
      pairs += totals.length - 1
    }
  }
  return pairs ? { sd: Math.sqrt(squares / pairs), pairs } : null
}

function byWine(entries: Entry[]): Entry[][] {
  const wines = [...new Set(entries.map(({ wine }) => wine))]
  return wines.map((wine) => entries.filter((entry) => entry.wine === wine))
}
