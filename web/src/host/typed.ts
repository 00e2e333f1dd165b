/** Sheets typed in from paper, as this device has them: kept at each mark, until they are sent. */
import { edited, emptyDraft, type Change, type Draft, type Said } from '../taster/draft'
import { settled } from '../taster/outbox'

export type Drafts = Record<string, Draft>
const KEPT = 'halfpoint-host-typed'

/** One name for a pour of a seat of a tasting. */
export const pourName = (tasting: string, site: string, seat: number, code: string) =>
  `${tasting}/${site}/${seat}/${code}`

export function change(drafts: Drafts, name: string, work: Change, now = new Date()): Drafts {
  const [seat, code] = [name.slice(0, name.lastIndexOf('/')), name.slice(name.lastIndexOf('/') + 1)]
  return { ...drafts, [name]: edited(drafts[name] ?? emptyDraft(seat, code), work, now) }
}

export function settle(drafts: Drafts, name: string, said: Said): Drafts {
  const draft = drafts[name]
  return draft ? { ...drafts, [name]: settled(draft, said) } : drafts
}

export function load(): Drafts {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? '{}') as Drafts
  } catch {
    return {}
  }
}

/** Keep them; false when this browser does not let anything be kept. */
export function keep(drafts: Drafts): boolean {
  try {
    localStorage.setItem(KEPT, JSON.stringify(drafts))
    return true
  } catch {
    return false
  }
}
