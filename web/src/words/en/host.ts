import { some } from './said'

export const host = {
  title: 'The host’s page',
  about: 'Pages of the host',
  invented: 'An invented tasting, for trying things out.',
  noLink: 'This page opens with the link that the organiser has given you. Open it once on this device.',
  askAgain: 'Ask the organiser for a new link. What was sent from here is safe.',
  wait: 'One moment…',
  oldNews: 'No signal just now; this is how things stood a moment ago.',
  of: (expected: number) => `of ${expected}`,
  inOf: (arrived: number, expected: number) => `${arrived} of ${expected} sheets are in`,
  pages: {
    room: 'Room',
    evening: 'Evening',
    typeIn: 'Type in',
    photos: 'Photos',
    store: 'File',
  },

  room: {
    title: 'Who has sent what',
    table: (table: number) => `Table ${table}`,
    seat: (seat: number) => `Seat ${seat}`,
    unknownSeat: 'Some seat',
    code: 'code',
    far: (sent: number, pours: number) => `${sent} of ${pours}`,
    waits: (held: number) => `${held} held`,
    phones: (count: number) => some(count, 'phone', 'phones'),
    noPhone: 'no phone yet',
    seen: (when: string) => `last heard of at ${when}`,
    extra: 'added',
    held: (count: number) => `${some(count, 'sheet waits', 'sheets wait')} for the organiser`,
    heldAbout: 'They are kept. If you know what was meant, tell the organiser.',
    more: 'Somebody came along',
    moreAbout:
      'A new seat is poured from the same bags as a neighbour, so nothing has to be planned anew.',
    add: 'Add a seat',
    atTable: 'At which table',
    name: 'Name, if you like',
    addNow: 'Add the seat',
    added: (seat: number, table: number, like: number) =>
      `Seat ${seat} at table ${table}. Pour the same bags as at seat ${like}, in the same order.`,
  },

  evening: {
    title: 'The evening',
    about: (millilitres: string, minutes: number) =>
      `${millilitres} ml a pour, ${some(minutes, 'minute', 'minutes')} between flights. Letters are bags; only the bag’s steward pours.`,
    print: 'Print this',
    flight: (flight: number, begins: string) => `Flight ${flight}, from ${begins}`,
    bags: 'Bags:',
    time: 'at',
    seatWord: 'seat',
    codes: 'Codes on the slips, in no order:',
    say: 'Say before the first glass',
    papers: 'Papers as PDF',
    kinds: {
      'run-sheet': 'Run sheet',
      'pour-sheet': 'Pour sheet for the steward',
      'bag-tags': 'Tags for the bags',
      'table-cards': 'Cards for the tables',
      'seat-labels': 'Labels for the seats',
    },
  },

  typeIn: {
    title: 'Type in a paper sheet',
    about: 'For a sheet marked on paper. What you type is kept on this device at each tap.',
    whose: 'Whose sheet is it?',
    place: (pour: number, count: number) => `pour ${pour} of ${count}`,
    pours: 'Pours of this seat',
    open: (code: string, stands: string) => (stands ? `pour ${code}, ${stands}` : `pour ${code}`),
    stands: { begun: 'not sent yet', sent: 'sent', look: 'needs a look' },
    there: (total: string) =>
      `Marks for this pour are in already (${total} in all). If the paper says something else, type it; the organiser is asked which counts.`,
    held: 'It has arrived and is kept, but waits for the organiser:',
    notKept: 'This browser does not keep anything; send each pour before you leave the page.',
    addFinish: 'A finish in seconds is written',
    otherSeat: 'Other seat',
    send: 'Send, and on',
    sendUnfinished: 'Send as it is',
    next: 'Next pour',
    done: 'Done',
  },

  photos: {
    title: 'Photograph sheets',
    about: 'Take one photograph a page, as many as you like; each is read by itself.',
    tips: [
      'The whole page with all four corner marks, from above.',
      'Bright, even light; no shadow of the phone.',
      'What cannot be read with certainty goes to the organiser, picture and all.',
    ],
    camera: 'Take photographs',
    choose: 'Choose photographs or scans',
    sending: 'Sending…',
    batch: (files: number) => some(files, 'photograph', 'photographs'),
    states: {
      waiting: 'waiting to be read',
      reading: 'being read…',
      done: 'all read',
      stopped: 'stopped',
    },
    page: (file: string, page: number) => (page > 1 ? `${file}, page ${page}` : file),
    read: (seat: number | null, looks: number) =>
      (seat === null ? 'Read' : `Seat ${seat}, read`) +
      (looks ? `; ${some(looks, 'mark', 'marks')} to be looked at by the organiser` : ''),
    status: {
      already: 'In already; nothing was added',
      another: 'Another picture of a page that is in; the organiser is asked',
      held: 'Kept, but it could not be read',
      refused: 'Not taken',
    },
  },

  store: {
    title: 'This room as a file',
    about:
      'For a room without a network: save its sheets to a file, carry it, and load it where there is one. Loading twice adds nothing.',
    save: 'Save',
    saveAbout: (arrived: number) => `${some(arrived, 'sheet', 'sheets')}, without the name of any wine.`,
    saveGo: 'Save this room to a file',
    saved: (name: string) => `Saved as ${name}, where this browser keeps downloads.`,
    load: 'Load',
    loadAbout: 'A file that was saved for this room.',
    loadGo: 'Load a file',
    came: (fresh: number, already: number) =>
      `${some(fresh, 'sheet is', 'sheets are')} new, ${already} in already.`,
    held: (count: number) => `${some(count, 'sheet waits', 'sheets wait')} for the organiser:`,
  },
}
export type HostWords = typeof host
