import type { DeskWords } from '../en/desk'
import { aside } from './desk/aside'
import { door } from './desk/door'
import { found } from './desk/found'
import { frame, signIn, settings } from './desk/frame'
import { looks } from './desk/looks'
import { people } from './desk/people'
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
  found,
  tasters,
  aside,
  share,
  people,
  door,
  settings,
  pours,
  papers,
  behind,
  scoreSheet,
  tasting,
}
