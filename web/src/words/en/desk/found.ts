import { ordinal, some } from '../said'

export const found = {
  title: 'What we found',
  stale: 'More has come in; being weighed again',
  scored: 'Every sheet is in the scores; the parts that say so are being weighed again',
  again: 'being weighed again',
  fresh: 'Everything that is in has been weighed',
  weighing: 'The marks are being weighed; the first time takes a moment…',
  scores: 'Scores',
  which: 'Which marks',
  total: 'Total',
  chart: (label: string, count: number) =>
    `${label}: scores of ${count} wines from the highest down, with intervals; the figures stand below`,
  caption:
    'Score at the average taster, room, bottle and place in the order. Thick bar 50 %, thin bar 95 %. A bracket joins wines the marks cannot tell apart.',
  figures: 'The figures',
  columns: {
    wine: 'wine',
    score: 'score',
    interval: '95 % interval',
    plain: 'plain mean',
    marks: 'sheets',
    joined: 'cannot be told from',
    places: 'places',
    likeliest: 'most likely',
    likely: 'how likely each place is',
  },
  between: (low: string, high: string) => `${low} to ${high}`,
  alone: 'told from all',
  in: 'sheets weighed',
  from: (tasters: number, sites: number) =>
    `${some(tasters, 'taster', 'tasters')}, ${some(sites, 'room', 'rooms')}`,
  points: 'points',
  pointsBetween: (low: string, high: string) => `points (${low} to ${high})`,
  sources: {
    taster: 'one taster from another',
    site: 'one room from another',
    bottle: 'one bottle from another, same wine',
    'taster:wine': 'one taster’s liking from another’s',
    residual: 'one mark from the next, all else alike',
  },
  ranksTitle: 'Where each wine may stand',
  ranksAbout: 'Places hold the true one nine times in ten. The bars say how likely each place is.',
  places: (low: number, high: number) =>
    low === high ? ordinal(low) : `${ordinal(low)} to ${ordinal(high)}`,
  likely: (place: number, chance: string) => `${ordinal(place)}, ${chance}`,
  percent: { under: 'under 1 %', over: 'over 99 %' },
  around: 'What else the marks say',
  order: (each: string, low: string, high: string) =>
    `Each place later in the serving order changes a mark by ${each} points (${low} to ${high}); the scores allow for it.`,
  separated:
    'Taken as steps, some wines or tasters are separated completely, so how far apart they are has no upper limit; a cautious assumption keeps the figures finite.',
  ordinal: (sentence: string) => `As ordered steps in place of points: ${sentence}`,
  held: (count: number) =>
    `${some(count, 'sheet is', 'sheets are')} held and not weighed yet.`,
  setAside: (count: number) => `${some(count, 'sheet is', 'sheets are')} set aside.`,
  bottles: {
    title: 'Bottles',
    in: (wine: string, site: string) => `${wine} in ${site}:`,
    below: (by: string, low: string, high: string) =>
      `${by} points below what was to be expected (${low} to ${high}).`,
    faults: (ticked: number, of: number) => `${ticked} of ${of} ticked a fault.`,
    aside: 'See without it',
    none: 'No bottle looks spoiled.',
    others: (count: number) => `${some(count, 'other bottle', 'other bottles')} a little low`,
  },
  aroma: {
    title: 'In the tasters’ words',
    about: 'Words in bold were ticked for this wine clearly more than for the others.',
    finish: (middle: string, low: string, high: string) =>
      `finish ${middle} seconds (${low} to ${high})`,
    withheld: 'too few sheets to say',
    map: (wines: string) => `Map of wines and words. From left to right: ${wines}`,
    mapAbout:
      'Wines that drew the same words stand close, and a word stands towards the wines it was ticked for. An ellipse is where its wine would stand in 95 of 100 tastings with other tasters like these.',
  },
}
