/** The pages of the desk, in the order of a tasting. */
import type { Component } from 'svelte'
import Door from './Door.svelte'
import Entries from './entries/Entries.svelte'
import Found from './found/Found.svelte'
import Looks from './looks/Looks.svelte'
import People from './people/People.svelte'
import Pours from './pours/Pours.svelte'
import SetAside from './SetAside.svelte'
import Settings from './Settings.svelte'
import Share from './Share.svelte'
import SheetsIn from './SheetsIn.svelte'
import Tasters from './Tasters.svelte'
import WinesAndRooms from './tasting/WinesAndRooms.svelte'

export type PageName =
  | 'tasting' | 'pours' | 'door' | 'sheets' | 'looks' | 'entries' | 'found' | 'tasters' | 'aside'
  | 'share' | 'people' | 'settings'

export interface DeskPage {
  name: PageName
  path: string
  shows: Component
  /** Begins a new part of the evening in the list. */
  part?: 'before' | 'during' | 'after'
}

export const PAGES: DeskPage[] = [
  { name: 'tasting', path: '/desk/wines', shows: WinesAndRooms, part: 'before' },
  { name: 'pours', path: '/desk/pours', shows: Pours },
  { name: 'door', path: '/desk/door', shows: Door },
  { name: 'sheets', path: '/desk', shows: SheetsIn, part: 'during' },
  { name: 'looks', path: '/desk/looks', shows: Looks },
  { name: 'entries', path: '/desk/entries', shows: Entries },
  { name: 'found', path: '/desk/found', shows: Found, part: 'after' },
  { name: 'tasters', path: '/desk/tasters', shows: Tasters },
  { name: 'aside', path: '/desk/aside', shows: SetAside },
  { name: 'share', path: '/desk/share', shows: Share },
  { name: 'people', path: '/desk/people', shows: People },
  { name: 'settings', path: '/desk/settings', shows: Settings },
]
