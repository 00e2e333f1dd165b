export const guide = {
  title: 'How to taste',
  back: 'Back',
  print: 'Print',
  english: '',
  steps: 'The steps',
  more: 'More on this',
  marks: 'Marks and what they mean',
  noLine: 'No line of its own on this sheet. What you find here helps you decide.',
  words: 'What the words mean',
  finish: 'How long it lasts',
  finishAbout:
    'Seconds of pleasant flavour, and the mark that often goes with them. Between two bands, take the one that feels nearer.',
  seconds: (from: string, to: string | null) => (to === null ? `from ${from} seconds on` : `${from} to ${to} seconds`),
  usual: (marks: string) => `often ${marks}`,
  hedge: 'Finding the word: a hedge to walk along',
  hedgeAbout:
    'Go down the trunk and ask of each family: is it this? When one answers, walk along its branch. Tick the word that fits, or the whole family if none does.',
  noHedge:
    'This sheet has no list of aroma words. Write a word or two of your own beside the mark: fruit, flower, spice, wood, earth.',
  leaf: { white: 'often in whites', red: 'often in reds', either: 'from oak, in either', any: 'in any wine' },
  faults: 'Faults',
  faultsAbout:
    'A fault is nobody’s doing at the table. Tick it, mark what is left, and tell the host: another bottle may be sound.',
  fault: { look: 'To the eye', smell: 'To the nose', taste: 'In the mouth', usual: 'Seldom above' },
  examples: 'Wines marked step by step',
  examplesAbout: 'All of these wines are invented. The knob on each ruler is the mark; beside it stands the reason.',
  tries: 'To try at home',
  cautions: 'Before you start',
}
export type GuideWords = typeof guide
