export const shared = {
  language: 'Language',
  lost: 'There is no such page.',
  'not-loaded': 'This page could not be loaded.',
  notLoadedWhy:
    'There may be no signal, or the server has a newer version. What you wrote is kept on this device.',
  again: 'Try again',
  toStart: 'To the start',
  practise: 'Practise at home',
  howToTaste: 'How to taste',
  practiseThese: 'Practise with these wines',
  close: 'Close',
  cancel: 'Cancel',
  noSignal: 'The server cannot be reached just now.',
  wanted: (expected: string) => `Expected: ${expected}.`,
  half: 'half',
  /** A mark as people say it: 4.5 is "four and a half". */
  numbers: [
    'zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten',
    'eleven', 'twelve', 'thirteen', 'fourteen', 'fifteen', 'sixteen', 'seventeen', 'eighteen',
    'nineteen', 'twenty',
  ],
  andAHalf: (whole: string) => `${whole} and a half`,
  decimal: '.',
  ofTop: (mark: string, top: string) => `${mark} of ${top}`,
  noMark: 'no mark yet',
  clearMark: (label: string) => `Clear the mark for ${label}`,
  clear: 'clear',
}
export type SharedWords = typeof shared
