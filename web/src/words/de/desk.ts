import type { DeskWords } from '../en/desk'
import { aside } from './desk/aside'
import { door } from './desk/door'
import { entries } from './desk/entries'
import { found } from './desk/found'
import { frame, signIn, settings } from './desk/frame'
import { looks } from './desk/looks'
import { cleaned, people } from './desk/people'
import { pours, papers, behind } from './desk/pours'
import { share } from './desk/share'
import { sheets } from './desk/sheets'
import { tasters } from './desk/tasters'
import { scoreSheet, tasting } from './desk/tasting'

export const desk: DeskWords = {
  frame,
  signIn,
  sheets,
  looks,
  entries,
  found,
  tasters,
  aside,
  share,
  people,
  cleaned,
  door,
  settings,
  pours,
  papers,
  behind,
  scoreSheet,
  tasting,
}
