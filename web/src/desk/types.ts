/** What the desk's server says, by the shapes of its OpenAPI document. */
import type { components } from '../api/schema'

type Schemas = components['schemas']
export type Plan = Schemas['PlanShown']
export type WineBehind = Schemas['WineBehind']
export type PaperKind = Schemas['PaperKind']
export type TastingText = Schemas['TastingText']
export type Problem = Schemas['ProblemShown']
export type SheetText = Schemas['halfpoint__serve__routes__desk_tasting__SheetShown']
export type SheetOffered = Schemas['SheetOffered']
export type HostLink = Schemas['HostShown']
export type NewHost = Schemas['NewHost']
export type JoinCode = Schemas['JoinCodeShown']
export type Progress = Schemas['Progress']
export type LookItem = Schemas['LookItem']
export type LookList = Schemas['LookList']
export type LookDecision = Partial<Schemas['LookDecision']>
export type LookDecided = Schemas['LookDecided']
export type DecidedLook = Schemas['DecidedLook']
export type DecidedList = Schemas['DecidedList']
export type EntryFound = Schemas['EntryFound']
export type EntryList = Schemas['EntryList']
export type EntryShown = Schemas['EntryShown']
export type EntryCorrected = Schemas['EntryCorrected']
export type LookedAhead = Schemas['LookedAhead']
export type Taken = NonNullable<Schemas['Correction']['taken']>
export type Step = Schemas['Step']
export type Results = Omit<Schemas['ResultsShown'], 'findings'> & { findings: Findings }
export type Part = Results['again'][number]
export type Standing = Schemas['StandingShown']
export type Target = Schemas['TargetNamed']
export type Previewed = Schemas['Previewed']
export type Place = Schemas['Place']
export type Reveal = Schemas['RevealShown']
export type Person = Schemas['Person']
export type Erased = Schemas['Erased']

/** The parts of the findings that the desk shows, as `halfpoint results --json` writes them. */
export interface WineFinding {
  wine: string
  marks: number
  adjusted: number | null
  se: number | null
  df: number | null
  low: number | null
  high: number | null
  raw_mean: number
  rank_low: number | null
  rank_high: number | null
  rank_probability: number[]
  p_best: number | null
  letters: string
}
export interface MarkFinding {
  label: string
  top: number | null
  marks: number
  wines: WineFinding[]
  components: Record<string, { variance: number; low: number | null; high: number | null }>
  covariates: { covariate: string; level: string | null; estimate: number; low: number; high: number }[]
  severity: { edges: number[]; counts: number[] } | null
  notes: string[]
  ordinal: { sentence: string; held_in: boolean } | null
}
export interface Interval {
  value: number
  low: number
  high: number
}
export interface TasterFinding {
  taster: string
  site: string | null
  marks: number
  complete: number
  withheld: boolean
  severity: Interval | null
  spread: Interval | null
  noise: Interval | null
  agreement: Interval | null
  repeatability: number | null
  second_pours: number
}
export interface Suspect {
  site: string
  wine: string
  shift: number
  low: number
  high: number
  marks: number
  faults: { here: number; entries_here: number } | null
  suggested: boolean
}
export interface Findings extends MarkFinding {
  title: string
  invented: boolean
  taster_count: number
  sites: number
  connected: boolean
  categories: Record<string, MarkFinding>
  held: unknown[]
  set_aside: { taster: string; wine: string; who: string; why: string }[]
  suspects: Suspect[]
  scale: { sentence: string } | null
  panel: { sentence: string; notes: string[]; decisions: { sites: number; tasters: number }[] } | null
  tasters: TasterFinding[]
  aroma: {
    sentence: string
    notes: string[]
    wines: {
      wine: string
      entries: number
      withheld: boolean
      terms: string[]
      marked: string[]
      finish: number | null
      finish_low: number | null
      finish_high: number | null
    }[]
    terms: { key: string; label: string }[]
    map: { wines: { name: string; x: number }[] } | null
  } | null
}
