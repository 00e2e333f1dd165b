import { some } from '../said'

export const sheets = {
  title: 'Sheets in',
  live: 'Counts as they come',
  notLive: 'Not counting just now; trying again',
  unplanned: 'Nothing is planned yet.',
  toPlan: 'Make the plan',
  sentence: (arrived: string, expected: string, tasters: number) =>
    `${arrived} of ${expected} sheets are in, from ${some(tasters, 'taster', 'tasters')}.`,
  states: {
    before: 'The tasting has not opened yet.',
    open: 'The tasting is open.',
    closed: 'The tasting has closed; what comes now is held for you.',
    revealed: 'The wines are revealed.',
  },
  arrived: 'sheets in',
  of: (expected: string) => `of ${expected}`,
  held: 'held for you',
  look: 'have a look',
  aside: 'set aside',
  rooms: 'Room by room',
  nowhere: 'Room not known',
  far: (arrived: string, expected: string | null) =>
    expected === null ? arrived : `${arrived} of ${expected}`,
  people: (tasters: number) => some(tasters, 'taster', 'tasters'),
  last: (when: string) => `last at ${when}`,
  waits: (held: number) => `${held} held`,
  none: 'No room yet. Write the wines and rooms down first.',
}
