import type { DeskWords } from '../../en/desk'
import { some } from '../../en/said'

export const people: DeskWords['people'] = {
  title: 'Menschen und Daten',
  kept: 'Was gespeichert ist',
  keptAbout: [
    'Punkte, Worte und Zeiten jedes Bogens, unter dem Kürzel eines Verkosters. Ein Platz ohne Namen hat nur seine Nummer.',
    'Namen, die Verkoster und Gastgeber getippt haben, neben der Aufzeichnung und nie darin.',
    'Für jedes Telefon, das dabei ist: eine Zufallszahl, die auf dem Telefon entstand, und wann es zuletzt da war. Keine Adressen, kein Ort.',
    'Nichts geht an andere. Ein Name wird nur mit Zustimmung veröffentlicht.',
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
  save: 'Behalten',
  saved: 'Behalten.',
  export: 'Alles über diesen Menschen, als Datei',
  erase: 'Den Namen löschen',
  eraseAbout:
    'Der Name verschwindet aus der Datei der Verkostung, vom Schreibtisch und aus allem, was gezeigt wird; Telefone dieses Platzes werden abgemeldet. Die Punkte bleiben unter einem Decknamen, weil die Ergebnisse anderer auf ihnen ruhen. Es lässt sich nicht zurücknehmen.',
  confirm: (key) => `Tippen Sie zur Sicherheit ${key}`,
  why: 'Grund (darf leer bleiben)',
  eraseGo: 'Den Namen löschen',
  gone: (called, devices) =>
    `Gelöscht. Die Punkte stehen von nun an unter ${called}; ${some(devices, 'Telefon wurde', 'Telefone wurden')} abgemeldet.`,
  goneRecords: (records) =>
    `${some(records, 'ältere Zeile enthält', 'ältere Zeilen enthalten')} noch das Kürzel. Ist das Kürzel selbst ein Name, machen Sie eine bereinigte Kopie der Aufzeichnung; die Anleitung zum Datenschutz sagt, wie.`,
}
