export const frame = {
  about: 'Pages of the desk',
  skip: 'To the page',
  noTasting: 'No tasting yet',
  invented: 'An invented tasting, for trying things out.',
  out: 'Sign out',
  wait: 'One moment…',
  why: 'Reason',
  whyFree: 'Reason (may stay empty)',
  whyAbout: (who: string) => `Written down beside the name ${who}.`,
  pages: {
    tasting: 'Wines and rooms',
    pours: 'Pours and papers',
    door: 'Letting people in',
    sheets: 'Sheets in',
    looks: 'Needs a look',
    entries: 'Correct a sheet',
    found: 'What we found',
    tasters: 'Tasters',
    aside: 'Set aside',
    share: 'Reveal and share',
    people: 'People and privacy',
    settings: 'This desk',
  },
}

export const signIn = {
  title: 'The organiser’s desk',
  about: 'Tasters and hosts need no password; they come by code or link.',
  name: 'Your name',
  nameAbout: 'It stands beside every decision you make.',
  password: 'Password',
  passwordAbout:
    'It was shown once, when “halfpoint serve” was started for the first time. With --new-password it makes a new one.',
  go: 'Sit down at the desk',
  tasters: 'I am a taster',
}

export const settings = {
  title: 'This desk',
  look: 'Words and colours',
  theme: 'Light or dark',
  themes: { auto: 'as this device', light: 'light', dark: 'dark' },
  password: 'Password',
  passwordAbout: 'After a change everybody else is signed out.',
  old: 'The one you have',
  new: 'The new one, ten letters or more',
  change: 'Change it',
  changed: 'Changed.',
}
