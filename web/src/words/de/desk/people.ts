import type { DeskWords } from '../../en/desk'
import { some } from '../../en/said'

export const people: DeskWords['people'] = {
  title: 'Menschen und Daten',
  kept: 'Was gespeichert ist',
  keptAbout: [
    'Punkte, Worte und Zeiten jedes Bogens, unter dem Kürzel eines Verkosters. Ein Platz ohne Namen hat nur seine Nummer.',
    'Namen, die Verkoster und Gastgeber getippt haben, neben der Aufzeichnung und nie darin.',
    'Für jedes Telefon, das dabei ist: eine Zufallszahl, die auf dem Telefon entstand, und wann es zuletzt da war. Keine Adressen, kein Ort.',
    'Nichts geht an andere. Ein Name wird nur mit Zustimmung veröffentlicht, und einen Brief bekommt nur, wer zugestimmt hat; das Zweite steht in der Aufzeichnung.',
  ],
  everybody: (count) => `${count} Menschen`,
  search: 'Suchen',
  sheets: (entries) => some(entries, 'Bogen', 'Bögen'),
  erased: 'gelöscht',
  nobody: 'Niemand mit diesem Namen.',
  seat: (site, seat, devices) =>
    [site, seat ? `Platz ${seat}` : '', some(devices, 'Telefon', 'Telefone')]
      .filter(Boolean)
      .join(', ') + '.',
  held: (count) => `${some(count, 'Bogen wartet', 'Bögen warten')}.`,
  name: 'Name',
  consent: 'der Name darf veröffentlicht werden',
  letter: 'möchte einen Brief',
  save: 'Behalten',
  saved: 'Behalten.',
  export: 'Alles über diesen Menschen, als Datei',
  erase: 'Den Namen löschen',
  eraseAbout:
    'Der Name verschwindet aus der Datei der Verkostung, vom Schreibtisch und aus allem, was gezeigt wird; Telefone dieses Platzes werden abgemeldet. Die Punkte bleiben unter einem Decknamen, weil die Ergebnisse anderer auf ihnen ruhen. Es lässt sich nicht zurücknehmen.',
  confirm: (key) => `Tippen Sie zur Sicherheit ${key}`,
  eraseGo: 'Den Namen löschen',
  gone: (called, devices) =>
    `Gelöscht. Die Punkte stehen von nun an unter ${called}; ${some(devices, 'Telefon wurde', 'Telefone wurden')} abgemeldet.`,
  goneRecords: (records) =>
    `${some(records, 'ältere Zeile enthält', 'ältere Zeilen enthalten')} noch das Kürzel. Ist das Kürzel selbst ein Name, machen Sie eine bereinigte Kopie der Aufzeichnung.`,
  toCleaned: 'Zur bereinigten Kopie',
}

export const cleaned: DeskWords['cleaned'] = {
  title: 'Eine bereinigte Kopie der Aufzeichnung',
  what: 'Eine Kopie der ganzen Aufzeichnung, in der ein Mensch anders heißt: das Kürzel überall, wo eine Zeile den Verkoster nennt, und Kürzel und Namen als ganze Wörter in Bemerkungen, Gründen und Dateinamen. Nummern, Zeiten und Punkte bleiben. Die Aufzeichnung, die benutzt wird, bleibt unberührt.',
  when: 'Nach dem Löschen zeigen Seiten und Berichte den Decknamen, aber ältere Zeilen der Aufzeichnung enthalten noch das Kürzel. Eine Kopie braucht es, wenn das Kürzel selbst ein Name ist oder wenn der Name in Bemerkungen oder Gründen steht. Ein Kürzel wie „seat-4“ braucht keine.',
  nobody: 'Noch wurde niemand gelöscht. Löschen Sie zuerst einen Namen; dann lässt sich hier seine Kopie machen.',
  who: 'Wer herausgenommen wird, nach dem Decknamen',
  names: 'Namen, unter denen man diesen Menschen genannt haben mag',
  namesAbout: 'Einer je Zeile, wie in Bemerkungen: ganzer Name, Vorname, Spitzname.',
  whyAbout: (who) => `Steht in der ersten Zeile der Kopie, neben dem Namen ${who}.`,
  go: 'Die Kopie machen',
  made: (name) => `Gespeichert als ${name}, wo dieser Browser Downloads ablegt.`,
  then: 'Wie sie an die Stelle der Aufzeichnung kommt',
  steps: [
    'Halten Sie halfpoint serve an.',
    'Legen Sie die Kopie dorthin, wo die Aufzeichnung ist, unter deren Namen, und bewahren oder vernichten Sie die alte, wie Ihr Recht es verlangt.',
    'Führt die Datei der Verkostung den Menschen auf, ändern Sie dort das Kürzel in den Decknamen.',
    'Prüfen Sie sie mit „halfpoint verify“ und starten Sie halfpoint serve wieder.',
  ],
  cannot: 'Was sie nicht kann',
  limits: [
    'Sie nimmt den Namen nicht aus der alten Aufzeichnung, aus deren Sicherungen oder aus Kopien bei anderen.',
    'Sie findet niemanden, der beschrieben wird, ohne genannt zu sein, und keinen anders geschriebenen Namen.',
    'Handschrift auf gespeicherten Bildern vom Papier bleibt lesbar.',
    'Wer das Ende der alten Aufzeichnung notiert hat, sieht an der ersten Zeile, dass dies eine bereinigte Kopie ist, und kann nicht mehr Zeile für Zeile vergleichen. Das lässt sich nicht rückgängig machen, wenn die alte fort ist.',
  ],
}
