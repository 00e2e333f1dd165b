const pours = (count: number) => (count === 1 ? '1 pour' : `${count} pours`)

export const taster = {
  title: 'Your score sheet',
  invented: 'An invented tasting, for trying things out.',

  join: {
    title: 'Take your seat',
    about: 'Type the six letters and digits from the card on your table, or scan its square.',
    code: 'Code of the table',
    go: 'Find my table',
    scan: 'Scan the square',
    stopScan: 'Stop scanning',
    scanning: 'Hold the square in front of the camera.',
    noCamera: 'The camera cannot be used here. Please type the code.',
    looking: 'Looking…',
    short: (count: number) => `The code has six letters and digits; so far there are ${count}.`,
    seat: 'Which seat is yours?',
    seatAbout: 'The number is on your place at the table.',
    seatLabel: (seat: number) => `Seat ${seat}`,
    taken: 'somebody sits here',
    takenAsk: (seat: number) =>
      `Somebody sits at seat ${seat} already. Is it you, on another phone? If both phones send different marks, the organiser is asked which count.`,
    takenYes: 'It is me',
    takenNo: 'Choose another seat',
    name: 'Your name, if you like',
    nameAbout: 'Only for the organiser; it never goes with your marks.',
    sit: 'Sit down',
    other: 'Another code',
    table: (site: string, table: number) => `${site}, table ${table}`,
    again: 'Join again to send',
    expired:
      'This phone’s seat has run out, so nothing can be sent. Your marks are kept here. Join again with the code of your table.',
    stillHere: 'Marks of another seat are still on this phone:',
    backTo: (site: string, seat: number, count: number) =>
      `${site}, seat ${seat}: ${pours(count)} not sent`,
    forHosts: 'For hosts and organisers',
    desk: 'The desk',
  },

  cautions: {
    title: 'Before the first glass',
    own: [
      'Spit, as professionals do; a bowl is on the table.',
      'Nobody has to finish a glass, or to taste every wine.',
      'Drink water and eat something, before and between pours.',
      'Do not drive, cycle or work machines afterwards. Settle how you get home first.',
      'Wine is not for anyone below the legal age, for anyone who is pregnant, or with medicines that forbid it.',
      'It may contain sulphites, egg, milk or fish products. Ask if you react to any.',
      'If somebody is unwell, tell the host. In an emergency call for help at once.',
      'Where local law says more, local law holds.',
    ],
    rule: 'There are no right answers. Mark what is in your glass.',
    seat: (site: string, table: number, seat: number) => `${site} · table ${table} · seat ${seat}`,
    go: 'To the first pour',
  },

  pour: {
    place: (flight: number, position: number, count: number) =>
      `Flight ${flight} · pour ${position} of ${count}`,
    total: 'total so far',
    of: (top: string) => `of ${top}`,
    all: 'all pours',
    lookFor: 'what to look for',
    lookForIn: (label: string) => `what to look for: ${label}`,
    marks: (low: string, high: string) => (low === high ? low : `${low} to ${high}`),
    next: 'Next pour',
    last: 'All pours',
    lookAgain: 'Worth a second look',
    asItIs: 'Leave it as it is',
    heldTitle: 'The desk will ask about this pour',
    held: 'It has arrived and is kept, but does not count yet:',
    refusedTitle: 'This pour could not be sent',
    refused: 'It stays on this phone. Change it and it is sent again:',
    conflictTitle: 'Another sheet says something else',
    conflict:
      'Marks for this pour came from this seat before, from another phone or on paper. Both are kept; the organiser decides which count.',
    found: (found: string, expected: string) =>
      expected ? `${found}; expected: ${expected}` : found,
    arrived: (total: string) =>
      `Marks for this pour have come from this seat already (${total}), from another phone or on paper. If you mark it here too, the organiser is asked which count.`,
    arrivedNoTotal:
      'A sheet for this pour has come from this seat already, from another phone or on paper. If you mark it here too, the organiser is asked which counts.',
    unknown: 'This code is not poured at your seat.',
    before: (day: string) => `The tasting opens on ${day}. What you mark until then is kept apart.`,
    closed: 'The tasting has closed. What you mark now is kept, and the organiser is asked.',
  },

  aroma: {
    title: 'What do you find?',
    search: 'Search, or write your own word',
    add: (word: string) => `Add “${word}”`,
    none: 'Not on the sheet; add it as your own word.',
    whole: (family: string) => `${family}, in general`,
    chosen: 'Chosen',
    remove: (word: string) => `Take away ${word}`,
    families: 'Families of aromas',
    full: 'That is as many words of your own as fit.',
  },

  faults: {
    title: 'Anything wrong with it?',
    about: 'Most wines have nothing here. If in doubt, leave it.',
    count: (count: number) => (count === 1 ? '1 ticked' : `${count} ticked`),
  },

  finish: {
    title: 'How long does it stay?',
    about: 'Start when you swallow or spit; stop when nothing pleasant is left.',
    start: 'Time the finish',
    stop: 'Stop',
    running: (seconds: number) => `${seconds} s`,
    said: (seconds: number, band: string) => (band ? `${seconds} s, ${band}` : `${seconds} s`),
    clear: 'Clear the time',
    more: 'One second more',
    less: 'One second less',
  },

  remark: {
    title: 'Remark',
    about: 'Anything you would tell a friend',
    left: (count: number) => `${count} letters left`,
  },

  foot: {
    kept: 'kept on this phone',
    empty: 'nothing marked yet',
    toGo: (count: number) => (count === 1 ? '1 mark to go' : `${count} marks to go`),
    waiting: (count: number) => `${count} waiting to send`,
    sending: 'sending…',
    sent: 'sent',
    allSent: 'all sent',
    look: 'needs a look',
    noSignal: 'no signal',
    newer: 'the server is newer',
  },

  overview: {
    title: 'All pours',
    flight: (flight: number) => `Flight ${flight}`,
    standing: {
      empty: 'not begun',
      begun: 'begun',
      waiting: 'waiting',
      sent: 'sent',
      look: 'needs a look',
    },
    marks: (given: number, count: number) => `${given} of ${count} marks`,
    elsewhere: 'came from elsewhere',
    gone: 'Not poured here any more',
    goneAbout: 'The plan has changed since. What you marked is kept and sent all the same.',
    open: (code: string) => `pour ${code}`,
    sendNow: 'Send now',
    sendAbout: (count: number) => `${pours(count)} waiting to send.`,
    allSent: 'Everything you finished has been sent.',
    result: 'Compare with the group',
    safe: 'Where your marks are',
    safety: {
      promised:
        'Every tap is kept on this phone at once. This browser has promised to keep unsent marks until you clear it yourself.',
      installed:
        'Every tap is kept on this phone at once. As an app on your home screen, unsent marks stay until they are sent or you remove the app.',
      'seven-days':
        'Every tap is kept on this phone at once. This browser may erase unsent marks seven days after your last visit. To keep them longer, add this page to your home screen, or save them to a file.',
      browser:
        'Every tap is kept on this phone at once. This browser keeps unsent marks until the phone runs short of space. To be sure, save them to a file.',
    },
    insecure:
      'This page came without encryption, so this browser does not let it open without the server. Your marks are stored and sent all the same: leave the page open, or come back to it in this room. With “halfpoint serve --tls” it would also open without signal.',
    untrusted:
      'This browser does not trust the certificate of this server, so it does not let the page open without it. Your marks are stored and sent all the same: leave the page open, or come back to it in this room. To keep the page as an app, take in the certificate once, and load the page again.',
    trust: 'Take in the certificate',
    save: 'Save my marks to a file',
    saveAbout: 'Give the file to your host, who can hand it in.',
    seat: 'This seat',
    change: 'Use another seat',
    changeAbout: 'What you marked stays on this phone and is still sent.',
    theme: 'Light or dark',
    themes: { auto: 'as the phone', light: 'light', dark: 'dark' },
    version: (build: string) => `App ${build}`,
  },

  letter: {
    title: 'A letter afterwards',
    wanted: 'Write me a letter when the wines are told',
    about:
      'One page from the organiser: your marks beside the group’s, and one thing to try. You can take part without it, and change your mind here until the letters are written.',
    yes: 'You will get a letter.',
    no: 'You will get no letter.',
  },

  result: {
    title: 'You and the group',
    about:
      'Your mark is the round knob. The short bar is the group’s, and the thin line is how sure it is. There are no right answers.',
    wine: (code: string) => `You knew it as ${code}`,
    none: 'You did not mark this one.',
    total: 'Total',
    both: (own: string, group: string) => `you ${own}, the group ${group}`,
    ownOnly: (own: string) => `you ${own}`,
    groupOnly: (group: string) => `the group ${group}`,
    shared: 'You and others found',
    missed: 'Others also found',
    back: 'My sheets',
    wait: 'The wines have not been revealed yet.',
  },

  trouble: {
    store: 'This browser does not let the page keep anything on this phone.',
    storeWhy:
      'Marks would be lost. Leave private browsing or free some space, then load the page again, or ask your host for a sheet on paper.',
    newer: 'The server is newer than this page.',
    newerWhy: 'Your marks are kept. Load the page again when you have a moment.',
    update: 'A newer version of this page is ready.',
    updateWhy: 'Your marks stay as they are.',
    updateNow: 'Use it now',
    later: 'Later',
    reload: 'Load again',
  },
}
export type TasterWords = typeof taster
