import type { DeskWords } from '../../en/desk'

export const frame: DeskWords['frame'] = {
  about: 'Seiten des Schreibtischs',
  skip: 'Zur Seite',
  noTasting: 'Noch keine Verkostung',
  invented: 'Eine erfundene Verkostung, zum Ausprobieren.',
  out: 'Abmelden',
  wait: 'Einen Augenblick…',
  why: 'Grund',
  whyFree: 'Grund (darf leer bleiben)',
  whyAbout: (who) => `Wird neben dem Namen ${who} aufgeschrieben.`,
  pages: {
    tasting: 'Weine und Räume',
    pours: 'Proben und Papiere',
    door: 'Leute hereinlassen',
    sheets: 'Eingegangen',
    looks: 'Bitte ansehen',
    entries: 'Einen Bogen berichtigen',
    found: 'Was wir fanden',
    tasters: 'Verkoster',
    aside: 'Beiseitegelegt',
    share: 'Aufdecken und teilen',
    people: 'Menschen und Daten',
    settings: 'Dieser Schreibtisch',
  },
}

export const signIn: DeskWords['signIn'] = {
  title: 'Der Schreibtisch der Leitung',
  about: 'Wer verkostet oder einlädt, braucht kein Passwort: dafür gibt es Code oder Link.',
  name: 'Ihr Name',
  nameAbout: 'Er steht neben jeder Ihrer Entscheidungen.',
  password: 'Passwort',
  passwordAbout:
    'Es wurde einmal gezeigt, als „halfpoint serve“ zum ersten Mal gestartet wurde. Mit --new-password gibt es ein neues.',
  go: 'An den Schreibtisch',
  tasters: 'Ich verkoste',
}

export const settings: DeskWords['settings'] = {
  title: 'Dieser Schreibtisch',
  look: 'Worte und Farben',
  theme: 'Hell oder dunkel',
  themes: { auto: 'wie dieses Gerät', light: 'hell', dark: 'dunkel' },
  password: 'Passwort',
  passwordAbout: 'Nach einer Änderung sind alle anderen abgemeldet.',
  old: 'Das jetzige',
  new: 'Das neue, mindestens zehn Zeichen',
  change: 'Ändern',
  changed: 'Geändert.',
}
