/** Marks as a file, for when they cannot be sent: the host can hand it in. */
import { handOutText } from '../parts/handOut'
import { isBegun, type Draft } from './draft'
import { asSent, type Sent } from './outbox'
import type { SeatKept } from './store'

/** The body of `PUT /api/sheet/entries`, and whose it is. */
export interface SavedFile {
  format: 'halfpoint-phone'
  version: 1
  saved: string
  tasting: string
  site: string
  seat: number
  taster: string
  device: string
  app: string
  entries: Sent[]
}

export function savedFile(seat: SeatKept, drafts: Draft[], device: string, now: Date): SavedFile {
  const { sheet } = seat
  return {
    format: 'halfpoint-phone',
    version: 1,
    saved: now.toISOString(),
    tasting: sheet.tasting.key,
    site: sheet.site.key,
    seat: sheet.seat,
    taster: sheet.taster,
    device,
    app: __BUILD__,
    entries: drafts.filter(isBegun).map((draft) => asSent(draft, sheet.sheet.categories)),
  }
}

/** Give the file to the phone. */
export async function handOut(file: SavedFile): Promise<void> {
  const name = `${file.tasting}-${file.site}-seat-${file.seat}.halfpoint-phone.json`
  await handOutText(JSON.stringify(file, null, 1), name, 'application/json')
}
