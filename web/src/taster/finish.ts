/** What a timed finish is called, from the bands of the score sheet. */

export interface Band {
  label: string
  low: number
  high: number | null
}

/** The band of so many seconds; null where the sheet has none for them. */
export function bandOf(bands: Band[], seconds: number): Band | null {
  return (
    bands.find((band) => seconds >= band.low && (band.high === null || seconds < band.high)) ?? null
  )
}

/** Whole seconds since the stopwatch was started; a clock that was set back gives none. */
export function secondsSince(started: number, now: number): number {
  return Math.min(LONGEST, Math.max(0, Math.round((now - started) / 1000)))
}

/** A stopwatch that runs longer than this was forgotten. */
export const LONGEST = 600

/** To how many seconds a ruler of the finish goes: a little beyond the last border. */
export function rulerTop(bands: Band[]): number {
  const borders = bands.flatMap((band) => [band.low, band.high ?? 0])
  return Math.max(20, Math.ceil((Math.max(0, ...borders) * 1.5) / 10) * 10)
}
