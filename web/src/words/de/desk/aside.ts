import type { DeskWords } from '../../en/desk'
import { some } from '../../en/said'

export const aside: DeskWords['aside'] = {
  title: 'Beiseitegelegt',
  lead: 'Was beiseiteliegt, bleibt aufgeschrieben und zählt nicht mehr. Sehen Sie zuerst, was es ändert; aufgeschrieben wird erst, wenn Sie es sagen.',
  what: 'Was soll nicht zählen?',
  kinds: { bottle: 'eine Flasche', taster: 'ein Verkoster', entry: 'ein Bogen' },
  wine: 'Wein',
  site: 'Raum',
  taster: 'Verkoster, wie aufgeschrieben',
  entry: 'Nummer des Eintrags',
  choose: 'bitte wählen…',
  look: 'Vorher und nachher ansehen',
  weighing: 'Wird zweimal gewogen; einen Augenblick…',
  changes: (entries) =>
    `${some(entries, 'Bogen würde', 'Bögen würden')} nicht mehr zählen. Ergebnis vorher und nachher:`,
  before: 'vorher',
  after: 'nachher',
  place: 'Platz',
  stays: 'bleibt',
  up: (from, to) => `hinauf, ${from}. auf ${to}.`,
  down: (from, to) => `hinab, ${from}. auf ${to}.`,
  go: 'Beiseitelegen',
  done: 'Beiseitegelegt. Das Ergebnis wird neu gewogen.',
  broughtBack: 'Es zählt wieder.',
  now: 'Jetzt beiseitegelegt',
  none: 'Nichts liegt beiseite.',
  entries: (count) => some(count, 'Bogen', 'Bögen'),
  by: (who, when) => `${who}, ${when}`,
  back: 'Wieder zählen lassen',
  backOf: (what) => `Wieder zählen lassen: ${what}`,
}
