/** A figure from session to session, and the ruler that holds all of it. */
import type { Estimate } from './prior'
import type { Progress } from './progress'
import type { Scale } from '../parts/scale'

export type Figure = 'severity' | 'spread' | 'noise' | 'agreement'
export const FIGURES: Figure[] = ['severity', 'spread', 'noise', 'agreement']

export interface Row {
  session: string
  wines: number
  /** As drawn; null where there was nothing to compare, or too little is known. */
  found: Pick<Estimate, 'value' | 'low' | 'high'> | null
  /** Whether anything was compared. */
  compared: boolean
}

/** Every session's word on one figure of one kind of mark; severity points upwards here. */
export function courseOf(progress: Progress, key: string, figure: Figure): Row[] {
  return progress.sessions.map(({ session, entries, found }) => {
    const one = found[key]
    const told = one && (one.told || (figure === 'severity' && one.wines >= 1))
    return {
      session,
      wines: entries.length,
      compared: one !== undefined,
      found: told ? (figure === 'severity' ? upwards(one.severity) : one[figure]) : null,
    }
  })
}

/** Above the panel is to the right. */
const upwards = ({ value, low, high }: Estimate) => ({ value: -value, low: -high, high: -low })

/** Where the panel is; null for a figure that it does not have. */
export const PANEL: Record<Figure, number | null> = { severity: 0, spread: 1, noise: null, agreement: 1 }
const STEP: Record<Figure, number> = { severity: 0.5, spread: 0.25, noise: 0.5, agreement: 0.25 }

/** The ruler for these rows, from a whole point to a whole point. */
export function rulerOf(rows: Row[], figure: Figure): Scale {
  const ends = rows.flatMap(({ found }) => (found ? [found.low, found.high] : []))
  const panel = PANEL[figure] ?? 0
  const lowest = Math.floor(Math.min(panel, figure === 'severity' ? -1 : 0, ...ends))
  const top = Math.max(Math.ceil(Math.max(panel, ...ends)), lowest + 1, figure === 'severity' ? 1 : 0)
  return { lowest, top: figure === 'agreement' ? 1 : top, step: STEP[figure] }
}
