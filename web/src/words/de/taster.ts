import type { TasterWords } from '../en/taster'

const proben = (count: number) => (count === 1 ? '1 Probe' : `${count} Proben`)

export const taster: TasterWords = {
  title: 'Ihr Bewertungsbogen',
  invented: 'Eine erfundene Verkostung, zum Ausprobieren.',

  join: {
    title: 'Platz nehmen',
    about: 'Tippen Sie die sechs Zeichen von der Karte auf Ihrem Tisch, oder scannen Sie ihr Quadrat.',
    code: 'Code des Tisches',
    go: 'Meinen Tisch finden',
    scan: 'Quadrat scannen',
    stopScan: 'Scannen beenden',
    scanning: 'Halten Sie das Quadrat vor die Kamera.',
    noCamera: 'Die Kamera lässt sich hier nicht benutzen. Bitte tippen Sie den Code.',
    looking: 'Wird gesucht…',
    short: (count) => `Der Code hat sechs Zeichen; bisher sind es ${count}.`,
    seat: 'Welcher Platz ist Ihrer?',
    seatAbout: 'Die Nummer steht an Ihrem Platz am Tisch.',
    seatLabel: (seat) => `Platz ${seat}`,
    taken: 'hier sitzt jemand',
    takenAsk: (seat) =>
      `An Platz ${seat} sitzt schon jemand. Sind Sie das, mit einem anderen Telefon? Wenn beide Verschiedenes senden, wird die Leitung gefragt, was gilt.`,
    takenYes: 'Das bin ich',
    takenNo: 'Einen anderen Platz wählen',
    name: 'Ihr Name, wenn Sie mögen',
    nameAbout: 'Nur für die Leitung; er steht nie bei Ihren Punkten.',
    sit: 'Platz nehmen',
    other: 'Ein anderer Code',
    table: (site, table) => `${site}, Tisch ${table}`,
    again: 'Neu anmelden und senden',
    expired:
      'Die Anmeldung dieses Telefons ist abgelaufen, deshalb lässt sich nichts senden. Ihre Punkte sind hier gespeichert. Melden Sie sich mit dem Code Ihres Tisches neu an.',
    stillHere: 'Auf diesem Telefon liegen noch Punkte eines anderen Platzes:',
    backTo: (site, seat, count) => `${site}, Platz ${seat}: ${proben(count)} nicht gesendet`,
    forHosts: 'Für Gastgeber und Leitung',
    desk: 'Zum Schreibtisch',
  },

  cautions: {
    title: 'Vor dem ersten Glas',
    own: [
      'Spucken Sie aus, wie es die Fachleute tun; ein Gefäß steht auf dem Tisch.',
      'Niemand muss ein Glas leeren oder jeden Wein probieren.',
      'Trinken Sie Wasser und essen Sie etwas, vorher und zwischen den Proben.',
      'Fahren Sie danach weder Auto noch Rad und bedienen Sie keine Maschinen. Klären Sie vorher, wie Sie nach Hause kommen.',
      'Wein ist nichts für Menschen unter dem gesetzlichen Alter, in der Schwangerschaft oder mit Medikamenten, die ihn verbieten.',
      'Er kann Sulfite, Ei, Milch oder Fischerzeugnisse enthalten. Fragen Sie, wenn Sie darauf reagieren.',
      'Ist jemandem unwohl, sagen Sie es dem Gastgeber. Rufen Sie im Notfall sofort Hilfe.',
      'Wo das Gesetz vor Ort mehr verlangt, gilt das Gesetz.',
    ],
    rule: 'Es gibt keine richtigen Antworten. Bewerten Sie, was in Ihrem Glas ist.',
    seat: (site, table, seat) => `${site} · Tisch ${table} · Platz ${seat}`,
    go: 'Zur ersten Probe',
  },

  pour: {
    place: (flight, position, count) => `Runde ${flight} · Probe ${position} von ${count}`,
    total: 'bisher',
    of: (top) => `von ${top}`,
    all: 'alle Proben',
    lookFor: 'worauf achten',
    lookForIn: (label) => `worauf achten: ${label}`,
    marks: (low, high) => (low === high ? low : `${low} bis ${high}`),
    next: 'Nächste Probe',
    last: 'Alle Proben',
    lookAgain: 'Einen zweiten Blick wert',
    asItIs: 'So lassen',
    heldTitle: 'Die Leitung wird nach dieser Probe fragen',
    held: 'Sie ist angekommen und aufgehoben, zählt aber noch nicht:',
    refusedTitle: 'Diese Probe ließ sich nicht senden',
    refused: 'Sie bleibt auf diesem Telefon. Nach einer Änderung wird sie neu gesendet:',
    conflictTitle: 'Ein anderer Bogen sagt etwas anderes',
    conflict:
      'Für diese Probe kamen von diesem Platz schon Punkte, von einem anderen Telefon oder auf Papier. Beides ist aufgehoben; die Leitung entscheidet, was gilt.',
    found: (found, expected) => (expected ? `${found}; erwartet: ${expected}` : found),
    arrived: (total) =>
      `Für diese Probe kamen von diesem Platz schon Punkte (${total}), von einem anderen Telefon oder auf Papier. Wenn Sie hier auch bewerten, wird die Leitung gefragt, was gilt.`,
    arrivedNoTotal:
      'Für diese Probe kam von diesem Platz schon ein Bogen, von einem anderen Telefon oder auf Papier. Wenn Sie hier auch bewerten, wird die Leitung gefragt, was gilt.',
    unknown: 'Dieser Code wird an Ihrem Platz nicht ausgeschenkt.',
    before: (day) => `Die Verkostung beginnt am ${day}. Was Sie bis dahin eintragen, wird gesondert aufgehoben.`,
    closed: 'Die Verkostung ist beendet. Was Sie jetzt eintragen, wird aufgehoben, und die Leitung wird gefragt.',
  },

  aroma: {
    title: 'Was finden Sie?',
    search: 'Suchen, oder ein eigenes Wort schreiben',
    add: (word) => `„${word}“ hinzufügen`,
    none: 'Nicht auf dem Bogen; fügen Sie es als eigenes Wort hinzu.',
    whole: (family) => `${family}, allgemein`,
    chosen: 'Gewählt',
    remove: (word) => `${word} wegnehmen`,
    families: 'Aromafamilien',
    full: 'Mehr eigene Wörter passen nicht.',
  },

  faults: {
    title: 'Stimmt etwas nicht?',
    about: 'Bei den meisten Weinen ist hier nichts. Im Zweifel lassen Sie es leer.',
    count: (count) => `${count} angekreuzt`,
  },

  finish: {
    title: 'Wie lange bleibt er?',
    about: 'Starten Sie beim Schlucken oder Spucken; stoppen Sie, wenn nichts Angenehmes mehr da ist.',
    start: 'Abgang messen',
    stop: 'Stopp',
    running: (seconds) => `${seconds} s`,
    said: (seconds, band) => (band ? `${seconds} s, ${band}` : `${seconds} s`),
    clear: 'Zeit löschen',
    more: 'Eine Sekunde mehr',
    less: 'Eine Sekunde weniger',
  },

  remark: {
    title: 'Bemerkung',
    about: 'Was Sie einem Freund erzählen würden',
    left: (count) => `noch ${count} Zeichen`,
  },

  foot: {
    kept: 'auf diesem Telefon gespeichert',
    empty: 'noch nichts eingetragen',
    toGo: (count) => (count === 1 ? 'noch 1 Kategorie' : `noch ${count} Kategorien`),
    waiting: (count) => `${count} noch zu senden`,
    sending: 'wird gesendet…',
    sent: 'gesendet',
    allSent: 'alles gesendet',
    look: 'bitte ansehen',
    noSignal: 'kein Empfang',
    newer: 'der Server ist neuer',
  },

  overview: {
    title: 'Alle Proben',
    flight: (flight) => `Runde ${flight}`,
    standing: {
      empty: 'nicht begonnen',
      begun: 'begonnen',
      waiting: 'noch zu senden',
      sent: 'gesendet',
      look: 'bitte ansehen',
    },
    marks: (given, count) => `${given} von ${count} Kategorien`,
    elsewhere: 'kam von anderswo',
    gone: 'Wird hier nicht mehr ausgeschenkt',
    goneAbout: 'Der Plan wurde geändert. Was Sie eingetragen haben, ist gespeichert und wird trotzdem gesendet.',
    open: (code) => `Probe ${code}`,
    sendNow: 'Jetzt senden',
    sendAbout: (count) => `${proben(count)} noch zu senden.`,
    allSent: 'Alles, was fertig ist, wurde gesendet.',
    result: 'Mit der Gruppe vergleichen',
    safe: 'Wo Ihre Punkte sind',
    safety: {
      promised:
        'Jeder Tipp wird sofort auf diesem Telefon gespeichert. Dieser Browser hat versprochen, Ungesendetes aufzuheben, bis Sie es selbst löschen.',
      installed:
        'Jeder Tipp wird sofort auf diesem Telefon gespeichert. Als App auf dem Startbildschirm bleibt Ungesendetes, bis es gesendet ist oder Sie die App entfernen.',
      'seven-days':
        'Jeder Tipp wird sofort auf diesem Telefon gespeichert. Dieser Browser löscht Ungesendetes womöglich sieben Tage nach Ihrem letzten Besuch. Länger hält es, wenn Sie die Seite zum Startbildschirm hinzufügen oder Ihre Punkte als Datei sichern.',
      browser:
        'Jeder Tipp wird sofort auf diesem Telefon gespeichert. Dieser Browser hebt Ungesendetes auf, bis dem Telefon der Platz ausgeht. Um sicherzugehen, sichern Sie Ihre Punkte als Datei.',
    },
    insecure:
      'Diese Seite kam unverschlüsselt; deshalb lässt dieser Browser sie nicht ohne den Server öffnen. Ihre Punkte werden trotzdem gespeichert und gesendet: Lassen Sie die Seite offen, oder kommen Sie in diesem Raum zu ihr zurück. Mit „halfpoint serve --tls“ ginge es auch ohne Empfang.',
    untrusted:
      'Dieser Browser traut dem Zertifikat dieses Servers nicht; deshalb lässt er die Seite nicht ohne ihn öffnen. Ihre Punkte werden trotzdem gespeichert und gesendet: Lassen Sie die Seite offen, oder kommen Sie in diesem Raum zu ihr zurück. Um die Seite als App zu behalten, nehmen Sie das Zertifikat einmal auf und laden die Seite neu.',
    trust: 'Zertifikat aufnehmen',
    save: 'Meine Punkte als Datei sichern',
    saveAbout: 'Geben Sie die Datei Ihrem Gastgeber, der sie einreichen kann.',
    seat: 'Dieser Platz',
    change: 'Einen anderen Platz benutzen',
    changeAbout: 'Was Sie eingetragen haben, bleibt auf diesem Telefon und wird noch gesendet.',
    theme: 'Hell oder dunkel',
    themes: { auto: 'wie das Telefon', light: 'hell', dark: 'dunkel' },
    version: (build) => `App ${build}`,
  },

  letter: {
    title: 'Danach ein Brief',
    wanted: 'Schreiben Sie mir einen Brief, wenn die Weine bekannt sind',
    about:
      'Eine Seite vom Veranstalter: Ihre Punkte neben denen der Gruppe, und eine Anregung. Sie können ohne ihn teilnehmen und es sich hier anders überlegen, bis die Briefe geschrieben sind.',
    yes: 'Sie bekommen einen Brief.',
    no: 'Sie bekommen keinen Brief.',
  },

  result: {
    title: 'Sie und die Gruppe',
    about:
      'Ihr Wert ist der runde Knopf. Der kurze Balken ist der Wert der Gruppe, die dünne Linie zeigt, wie sicher er ist. Es gibt keine richtigen Antworten.',
    wine: (code) => `Für Sie war es ${code}`,
    none: 'Diesen haben Sie nicht bewertet.',
    total: 'Summe',
    both: (own, group) => `Sie ${own}, die Gruppe ${group}`,
    ownOnly: (own) => `Sie ${own}`,
    groupOnly: (group) => `die Gruppe ${group}`,
    shared: 'Sie und andere fanden',
    missed: 'Andere fanden auch',
    back: 'Meine Bögen',
    wait: 'Die Weine sind noch nicht aufgedeckt.',
  },

  trouble: {
    store: 'Dieser Browser lässt die Seite nichts auf diesem Telefon speichern.',
    storeWhy:
      'Punkte gingen verloren. Verlassen Sie den privaten Modus oder schaffen Sie Platz, und laden Sie die Seite neu, oder bitten Sie Ihren Gastgeber um einen Bogen auf Papier.',
    newer: 'Der Server ist neuer als diese Seite.',
    newerWhy: 'Ihre Punkte sind gespeichert. Laden Sie die Seite neu, wenn es gerade passt.',
    update: 'Eine neuere Fassung dieser Seite ist da.',
    updateWhy: 'Ihre Punkte bleiben, wie sie sind.',
    updateNow: 'Jetzt benutzen',
    later: 'Später',
    reload: 'Neu laden',
  },
}
