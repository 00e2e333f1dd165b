import type { SharedWords } from '../en/shared'

export const shared: SharedWords = {
  language: 'Sprache',
  lost: 'Diese Seite gibt es nicht.',
  'not-loaded': 'Diese Seite ließ sich nicht laden.',
  notLoadedWhy:
    'Vielleicht fehlt der Empfang, oder der Server ist neuer. Was Sie geschrieben haben, liegt auf diesem Gerät.',
  again: 'Noch einmal',
  toStart: 'Zum Anfang',
  practise: 'Zu Hause üben',
  howToTaste: 'Wie man verkostet',
  practiseThese: 'Mit diesen Weinen üben',
  close: 'Schließen',
  cancel: 'Abbrechen',
  noSignal: 'Der Server ist gerade nicht zu erreichen.',
  wanted: (expected) => `Erwartet: ${expected}.`,
  half: 'einhalb',
  numbers: [
    'null', 'eins', 'zwei', 'drei', 'vier', 'fünf', 'sechs', 'sieben', 'acht', 'neun', 'zehn',
    'elf', 'zwölf', 'dreizehn', 'vierzehn', 'fünfzehn', 'sechzehn', 'siebzehn', 'achtzehn',
    'neunzehn', 'zwanzig',
  ],
  andAHalf: (whole) => (whole === 'eins' ? 'eineinhalb' : `${whole}einhalb`),
  decimal: ',',
  ofTop: (mark, top) => `${mark} von ${top}`,
  noMark: 'noch keine Punkte',
  clearMark: (label) => `Punkte für ${label} löschen`,
  clear: 'löschen',
}
