import type { DeskWords } from '../../en/desk'

export const share: DeskWords['share'] = {
  title: 'Aufdecken und teilen',
  reveal: 'Die Weine aufdecken',
  revealAbout:
    'Von da an sehen alle Verkoster und Gastgeber, welcher Wein hinter welchem Code stand, und die eigenen Punkte neben denen der Runde. Es lässt sich nicht zurücknehmen. Der Schreibtisch sieht die Weine schon jetzt.',
  confirm: 'Tippen Sie zur Sicherheit den Titel der Verkostung:',
  go: 'Die Weine aufdecken',
  revealed: (who, when) => `Aufgedeckt von ${who}, ${when}.`,
  report: 'Der Bericht',
  reportAbout: 'Alles, was gefunden wurde, mit Bildern und dem Rechenweg, zum Drucken.',
  reportGo: 'Bericht als PDF',
  letters: 'Briefe',
  lettersAbout: 'Eine freundliche Seite für alle, die zugestimmt haben, und für jeden Gastgeber, mit einer Liste zum Versenden. Sie sagen, welcher Wein welcher war, und warten deshalb auf das Aufdecken. Tausend dauern etwa eine Minute.',
  lettersGo: 'Briefe als ZIP',
  practice: 'Üben zu Hause',
  practiceAbout:
    'Ein Übungssatz für Mitglieder: Sie bewerten diese Weine zu Hause in der App und sehen, wie ihre Punkte neben denen der Gruppe liegen. Er enthält nur Schätzungen und nennt weder Verkostende noch Räume.',
  practiceGo: 'Übungssatz',
  reportNames: 'Der Bericht nennt die Weine. Behalten Sie ihn bis zum Aufdecken für sich.',
  data: 'Die Daten',
  csv: 'Tabellen des Ergebnisses',
  csvAbout: 'CSV-Dateien in einer ZIP-Datei.',
  json: 'Das ganze Ergebnis',
  jsonAbout: 'JSON, wie „halfpoint results --json“ es schreibt.',
  entries: 'Die Bögen',
  entriesAbout: 'Eine Zeile für jeden Bogen, als CSV.',
  names: 'mit Namen und eigenen Worten, nur für Sie',
  record: 'Die Aufzeichnung',
  recordAbout: 'Alles, was je aufgeschrieben wurde. Legen Sie eine Kopie an einen sicheren Ort.',
}
