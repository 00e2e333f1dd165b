import type { DeskWords } from '../../en/desk'
import { some } from '../../en/said'

export const found: DeskWords['found'] = {
  title: 'Was wir fanden',
  stale: 'Es ist mehr gekommen; wird neu gewogen',
  scored: 'Jeder Bogen ist im Ergebnis; was so bezeichnet ist, wird neu gewogen',
  again: 'wird neu gewogen',
  fresh: 'Alles, was da ist, ist gewogen',
  weighing: 'Die Punkte werden gewogen; beim ersten Mal dauert es etwas…',
  scores: 'Ergebnis',
  which: 'Welche Punkte',
  total: 'Summe',
  chart: (label, count) =>
    `${label}: Ergebnis von ${count} Weinen, der beste oben, mit Spannen; die Zahlen stehen darunter`,
  caption:
    'Ergebnis beim mittleren Verkoster, Raum, Platz in der Reihe und bei der mittleren Flasche. Dicker Strich 50 %, dünner Strich 95 %. Eine Klammer verbindet Weine, die die Punkte nicht unterscheiden.',
  figures: 'Die Zahlen',
  columns: {
    wine: 'Wein',
    score: 'Ergebnis',
    interval: '95-%-Spanne',
    plain: 'bloßes Mittel',
    marks: 'Bögen',
    joined: 'nicht zu unterscheiden von',
    places: 'Plätze',
    likeliest: 'am ehesten',
    likely: 'wie wahrscheinlich jeder Platz ist',
  },
  between: (low, high) => `${low} bis ${high}`,
  alone: 'von allen verschieden',
  in: 'Bögen gewogen',
  from: (tasters, sites) =>
    `${some(tasters, 'Verkoster', 'Verkoster')}, ${some(sites, 'Raum', 'Räume')}`,
  points: 'Punkte',
  pointsBetween: (low, high) => `Punkte (${low} bis ${high})`,
  sources: {
    taster: 'ein Verkoster vom anderen',
    site: 'ein Raum vom anderen',
    bottle: 'eine Flasche von der anderen, gleicher Wein',
    'taster:wine': 'was der eine mag vom anderen',
    residual: 'ein Bogen vom nächsten, alles sonst gleich',
  },
  ranksTitle: 'Wo jeder Wein stehen kann',
  ranksAbout:
    'Die Plätze enthalten in neun von zehn Fällen den wahren. Die Balken sagen, wie wahrscheinlich jeder Platz ist.',
  places: (low, high) => (low === high ? `${low}.` : `${low}. bis ${high}.`),
  likely: (place, chance) => `${place}., ${chance}`,
  percent: { under: 'unter 1 %', over: 'über 99 %' },
  around: 'Was die Punkte noch sagen',
  order: (each, low, high) =>
    `Jeder Platz später in der Reihe ändert die Punkte um ${each} (${low} bis ${high}); das Ergebnis berücksichtigt das.`,
  separated:
    'Als Stufen genommen sind manche Weine oder Verkoster ganz getrennt; wie weit sie auseinander liegen, hat keine Grenze nach oben, und eine vorsichtige Annahme hält die Zahlen endlich.',
  ordinal: (sentence) => `Als geordnete Stufen statt Punkten: ${sentence}`,
  held: (count) => `Noch nicht gewogen, weil etwas anzusehen ist: ${some(count, 'Bogen', 'Bögen')}.`,
  setAside: (count) => `${some(count, 'Bogen ist', 'Bögen sind')} beiseitegelegt.`,
  bottles: {
    title: 'Flaschen',
    in: (wine, site) => `${wine} in ${site}:`,
    below: (by, low, high) => `${by} Punkte unter dem Erwarteten (${low} bis ${high}).`,
    faults: (ticked, of) => `${ticked} von ${of} kreuzten einen Fehler an.`,
    aside: 'Ohne sie ansehen',
    none: 'Keine Flasche sieht verdorben aus.',
    others: (count) => `${some(count, 'andere Flasche', 'andere Flaschen')} etwas niedrig`,
  },
  aroma: {
    title: 'In den Worten der Verkoster',
    about: 'Fett: Worte, die bei diesem Wein deutlich öfter angekreuzt wurden als bei den anderen.',
    finish: (middle, low, high) => `Abgang ${middle} Sekunden (${low} bis ${high})`,
    withheld: 'zu wenige Bögen, um etwas zu sagen',
    map: (wines) => `Karte der Weine und Worte. Von links nach rechts: ${wines}`,
    mapAbout:
      'Weine mit denselben Worten stehen nah beieinander, ein Wort steht bei den Weinen, für die es angekreuzt wurde. Eine Ellipse zeigt, wo der Wein in 95 von 100 Verkostungen mit anderen Verkostern stünde.',
  },
}
