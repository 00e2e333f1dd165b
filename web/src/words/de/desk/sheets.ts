import type { DeskWords } from '../../en/desk'
import { some } from '../../en/said'

export const sheets: DeskWords['sheets'] = {
  title: 'Eingegangen',
  live: 'Zählt mit, was kommt',
  notLive: 'Zählt gerade nicht mit; versucht es wieder',
  unplanned: 'Noch ist nichts geplant.',
  toPlan: 'Zum Plan',
  sentence: (arrived, expected, tasters) =>
    `${arrived} von ${expected} Bögen sind da, von ${some(tasters, 'Verkoster', 'Verkostern')}.`,
  states: {
    before: 'Die Verkostung hat noch nicht begonnen.',
    open: 'Die Verkostung läuft.',
    closed: 'Die Verkostung ist zu Ende; was jetzt kommt, wartet auf Sie.',
    revealed: 'Die Weine sind aufgedeckt.',
  },
  arrived: 'Bögen da',
  of: (expected) => `von ${expected}`,
  held: 'warten auf Sie',
  look: 'ansehen',
  aside: 'beiseitegelegt',
  rooms: 'Raum für Raum',
  nowhere: 'Raum unbekannt',
  far: (arrived, expected) => (expected === null ? arrived : `${arrived} von ${expected}`),
  people: (tasters) => some(tasters, 'Verkoster', 'Verkoster'),
  last: (when) => `zuletzt um ${when}`,
  waits: (held) => `${held} warten`,
  none: 'Noch kein Raum. Schreiben Sie zuerst Weine und Räume auf.',
}
