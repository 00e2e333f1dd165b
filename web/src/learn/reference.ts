/** What a past panel says of practice wines, as a practice file holds it. */
import type { Prior } from './prior'

export const TOTAL = 'total'

/** What a panel says of its wines in one kind of mark; points, covariance in points squared. */
export interface Known {
  /** (wines,) */
  score: number[]
  /** (wines, wines) */
  covariance: number[][]
  /** The level about which spread is taken. */
  centre: number
  /** How far apart wines are. */
  wine_sd: number
  /** One bottle of a wine from the next. */
  bottle_sd: number
}

export interface KnownTerm {
  key: string
  share: number
}

/** A past panel's word on its wines; `marks` and `priors` by category key, and 'total'. */
export interface Reference {
  title: string
  invented: boolean
  tasters: number
  wines: string[]
  marks: Record<string, Known>
  priors: Record<string, Prior>
  terms: Record<string, KnownTerm[]>
}
