import type { DeskWords } from '../../en/desk'

export const tasters: DeskWords['tasters'] = {
  title: 'Verkoster',
  waiting: 'Die Verkoster werden gewogen.',
  howMany: 'Wie viele reichen würden',
  howManyAlt: 'Verlässlichkeit der Reihenfolge nach Verkostern je Raum, eine Linie für jede Zahl von Räumen',
  howManyAbout:
    'Wie ähnlich die Reihenfolge der Weine wäre, von 0 bis 1, hielte man die Verkostung mit anderen Verkostern noch einmal.',
  severityChart: (count) => `Wie streng ${count} Verkoster sind; die meisten stehen nahe null`,
  severityAbout:
    'Punkte, um die jemand niedriger bewertet als die anderen; links von null stehen die Großzügigen. Das Ergebnis berücksichtigt es.',
  each: (count) => `${count} Verkoster, jeder an den anderen`,
  search: 'Suchen',
  order: 'Geordnet nach',
  orders: {
    severity: 'Strenge',
    agreement: 'Abstand von den anderen',
    noise: 'Unruhe',
    taster: 'Name',
  },
  about:
    'Wenige Bögen sagen wenig, deshalb ist jede Zahl zur Runde hin gezogen. Es gibt hier keine guten und schlechten Verkoster, nur was die Punkte sagen können.',
  columns: {
    taster: 'Verkoster',
    site: 'Raum',
    marks: 'Bögen',
    severity: 'Strenge, Punkte',
    drawn: 'Strenge gezeichnet mit ihrer 95-%-Spanne',
    spread: 'Spreizung, mal üblich',
    noise: 'Unruhe, Punkte',
    agreement: 'Einigkeit',
  },
  withheld: 'zu wenige Bögen, um etwas zu sagen',
  aside: 'beiseitelegen',
  asideOf: (taster) => `beiseitelegen: ${taster}, nach einem Blick`,
  more: (count) => `Mehr zeigen (${count})`,
  none: 'Noch keine Zahlen zu Verkostern.',
}
