export const tasters = {
  title: 'Tasters',
  waiting: 'The tasters are being weighed.',
  howMany: 'How many would do',
  howManyAlt: 'Reliability of the order against tasters in each room, a line for each number of rooms',
  howManyAbout:
    'How alike the order of the wines would be, from 0 to 1, were the tasting held again with other tasters like these.',
  severityChart: (count: number) => `How severe ${count} tasters are; most stand near nought`,
  severityAbout:
    'Points by which a taster marks lower than the others; left of nought are the generous ones. Scores allow for it.',
  each: (count: string) => `${count} tasters, each by the others`,
  search: 'Find',
  order: 'In order of',
  orders: {
    severity: 'how severe',
    agreement: 'how unlike the others',
    noise: 'how unsteady',
    taster: 'name',
  },
  about:
    'Few sheets say little, so each figure is drawn towards the panel’s. There are no good and bad tasters here, only what the marks can tell.',
  columns: {
    taster: 'taster',
    site: 'room',
    marks: 'sheets',
    severity: 'severity, points',
    drawn: 'severity drawn with its 95 % interval',
    spread: 'spread, times usual',
    noise: 'unsteadiness, points',
    agreement: 'agreement',
  },
  withheld: 'too few sheets to say',
  aside: 'set aside',
  asideOf: (taster: string) => `set aside ${taster}, after a look`,
  more: (count: number) => `Show more (${count})`,
  none: 'No figures for tasters yet.',
}
