import type { HostWords } from '../en/host'
import { some } from '../en/said'

export const host: HostWords = {
  title: 'Die Seite des Gastgebers',
  about: 'Seiten des Gastgebers',
  invented: 'Eine erfundene Verkostung, zum Ausprobieren.',
  noLink: 'Diese Seite öffnet sich mit dem Link, den die Leitung Ihnen gegeben hat. Öffnen Sie ihn einmal auf diesem Gerät.',
  askAgain: 'Bitten Sie die Leitung um einen neuen Link. Was von hier gesendet wurde, ist sicher.',
  wait: 'Einen Augenblick…',
  oldNews: 'Gerade kein Empfang; so stand es vor einem Augenblick.',
  of: (expected) => `von ${expected}`,
  inOf: (arrived, expected) => `${arrived} von ${expected} Bögen sind da`,
  pages: {
    room: 'Raum',
    evening: 'Abend',
    typeIn: 'Eintippen',
    photos: 'Fotos',
    store: 'Datei',
  },

  room: {
    title: 'Wer was gesendet hat',
    table: (table) => `Tisch ${table}`,
    seat: (seat) => `Platz ${seat}`,
    unknownSeat: 'Irgendein Platz',
    code: 'Code',
    far: (sent, pours) => `${sent} von ${pours}`,
    waits: (held) => `${held} warten`,
    phones: (count) => some(count, 'Telefon', 'Telefone'),
    noPhone: 'noch kein Telefon',
    seen: (when) => `zuletzt um ${when}`,
    extra: 'hinzugefügt',
    held: (count) => `${some(count, 'Bogen wartet', 'Bögen warten')} auf die Leitung`,
    heldAbout: 'Sie sind gespeichert. Wenn Sie wissen, was gemeint war, sagen Sie es der Leitung.',
    more: 'Jemand ist dazugekommen',
    moreAbout:
      'Ein neuer Platz bekommt aus denselben Tüten wie ein Nachbar, so muss nichts neu geplant werden.',
    add: 'Platz hinzufügen',
    atTable: 'An welchem Tisch',
    name: 'Name, wenn Sie mögen',
    addNow: 'Den Platz hinzufügen',
    added: (seat, table, like) =>
      `Platz ${seat} an Tisch ${table}. Schenken Sie dieselben Tüten wie an Platz ${like} ein, in derselben Reihe.`,
  },

  evening: {
    title: 'Der Abend',
    about: (millilitres, minutes) =>
      `${millilitres} ml je Probe, ${some(minutes, 'Minute', 'Minuten')} zwischen den Runden. Buchstaben sind Tüten; nur wer sie hütet, schenkt ein.`,
    print: 'Drucken',
    flight: (flight, begins) => `Runde ${flight}, ab ${begins}`,
    bags: 'Tüten:',
    time: 'um',
    seatWord: 'Platz',
    codes: 'Codes auf den Zetteln, ungeordnet:',
    say: 'Vor dem ersten Glas zu sagen',
    papers: 'Papiere als PDF',
    kinds: {
      'run-sheet': 'Ablauf',
      'pour-sheet': 'Schenkplan',
      'bag-tags': 'Anhänger für die Tüten',
      'table-cards': 'Karten für die Tische',
      'seat-labels': 'Schilder für die Plätze',
    },
  },

  typeIn: {
    title: 'Einen Papierbogen eintippen',
    about: 'Für einen Bogen, der auf Papier ausgefüllt wurde. Was Sie tippen, ist sofort auf diesem Gerät.',
    whose: 'Wessen Bogen ist es?',
    place: (pour, count) => `Probe ${pour} von ${count}`,
    pours: 'Proben dieses Platzes',
    open: (code, stands) => (stands ? `Probe ${code}, ${stands}` : `Probe ${code}`),
    stands: { begun: 'noch nicht gesendet', sent: 'gesendet', look: 'bitte ansehen' },
    there: (total) =>
      `Für diese Probe sind schon Punkte da (zusammen ${total}). Sagt das Papier etwas anderes, tippen Sie es; die Leitung wird gefragt, was gilt.`,
    held: 'Es ist angekommen und gespeichert, wartet aber auf die Leitung:',
    notKept: 'Dieser Browser behält nichts; senden Sie jede Probe, bevor Sie die Seite verlassen.',
    addFinish: 'Ein Abgang in Sekunden steht da',
    otherSeat: 'Anderer Platz',
    send: 'Senden und weiter',
    sendUnfinished: 'So senden',
    next: 'Nächste Probe',
    done: 'Fertig',
  },

  photos: {
    title: 'Bögen fotografieren',
    about: 'Ein Foto je Seite, so viele Sie mögen; jedes wird für sich gelesen.',
    tips: [
      'Die ganze Seite mit allen vier Eckmarken, von oben.',
      'Helles, gleichmäßiges Licht; kein Schatten vom Telefon.',
      'Was nicht sicher zu lesen ist, geht samt Bild an die Leitung.',
    ],
    camera: 'Fotografieren',
    choose: 'Fotos oder Scans wählen',
    sending: 'Wird gesendet…',
    batch: (files) => some(files, 'Foto', 'Fotos'),
    states: {
      waiting: 'wartet aufs Lesen',
      reading: 'wird gelesen…',
      done: 'alles gelesen',
      stopped: 'angehalten',
    },
    page: (file, page) => (page > 1 ? `${file}, Seite ${page}` : file),
    read: (seat, looks) =>
      (seat === null ? 'Gelesen' : `Platz ${seat}, gelesen`) +
      (looks ? `; ${some(looks, 'Stelle', 'Stellen')} sieht die Leitung an` : ''),
    status: {
      already: 'Schon da; nichts kam hinzu',
      another: 'Ein anderes Bild einer Seite, die schon da ist; die Leitung wird gefragt',
      held: 'Gespeichert, aber nicht zu lesen',
      refused: 'Nicht angenommen',
    },
  },

  store: {
    title: 'Dieser Raum als Datei',
    about:
      'Für einen Raum ohne Netz: Speichern Sie seine Bögen in eine Datei, tragen Sie sie hin, wo es eines gibt, und laden Sie sie dort. Zweimal laden fügt nichts hinzu.',
    save: 'Speichern',
    saveAbout: (arrived) => `${some(arrived, 'Bogen', 'Bögen')}, ohne den Namen eines Weins.`,
    saveGo: 'Diesen Raum in eine Datei speichern',
    saved: (name) => `Gespeichert als ${name}, wo dieser Browser Downloads ablegt.`,
    load: 'Laden',
    loadAbout: 'Eine Datei, die für diesen Raum gespeichert wurde.',
    loadGo: 'Eine Datei laden',
    came: (fresh, already) => `${some(fresh, 'Bogen ist', 'Bögen sind')} neu, ${already} schon da.`,
    held: (count) => `${some(count, 'Bogen wartet', 'Bögen warten')} auf die Leitung:`,
  },
}
