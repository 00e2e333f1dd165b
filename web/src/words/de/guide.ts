import type { GuideWords } from '../en/guide'

export const guide: GuideWords = {
  title: 'Wie man verkostet',
  back: 'Zurück',
  print: 'Drucken',
  english:
    'Der Leitfaden selbst ist bisher nur auf Englisch geschrieben; die Worte des Bogens stehen, wie der Bogen sie hat.',
  steps: 'Die Schritte',
  more: 'Mehr dazu',
  marks: 'Punkte und was sie bedeuten',
  noLine: 'Dafür hat dieser Bogen keine eigene Zeile. Was Sie hier finden, hilft bei der Entscheidung.',
  words: 'Was die Worte bedeuten',
  finish: 'Wie lange es bleibt',
  finishAbout:
    'Sekunden angenehmen Geschmacks und die Punkte, die oft dazu passen. Zwischen zwei Stufen nehmen Sie die, die näher liegt.',
  seconds: (from, to) => (to === null ? `ab ${from} Sekunden` : `${from} bis ${to} Sekunden`),
  usual: (marks) => `oft ${marks}`,
  hedge: 'Das Wort finden: eine Hecke zum Entlanggehen',
  hedgeAbout:
    'Gehen Sie den Stamm hinunter und fragen Sie bei jeder Familie: ist es das? Antwortet eine, gehen Sie ihren Zweig entlang. Kreuzen Sie das Wort an, das passt, oder die ganze Familie, wenn keines passt.',
  noHedge:
    'Dieser Bogen hat keine Liste von Aromaworten. Schreiben Sie ein oder zwei eigene neben die Punkte: Frucht, Blüte, Gewürz, Holz, Erde.',
  leaf: { white: 'oft in Weißen', red: 'oft in Roten', either: 'vom Holz, in beiden', any: 'in jedem Wein' },
  faults: 'Fehler',
  faultsAbout:
    'Für einen Fehler kann am Tisch niemand etwas. Kreuzen Sie ihn an, bewerten Sie, was bleibt, und sagen Sie es dem Gastgeber: eine andere Flasche kann gesund sein.',
  fault: { look: 'Fürs Auge', smell: 'Für die Nase', taste: 'Im Mund', usual: 'Selten über' },
  examples: 'Weine, Schritt für Schritt bewertet',
  examplesAbout:
    'Alle diese Weine sind erfunden. Der Knopf auf jedem Lineal ist der Wert; daneben steht der Grund.',
  tries: 'Zum Ausprobieren zu Hause',
  cautions: 'Bevor Sie beginnen',
}
