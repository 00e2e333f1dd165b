const rounds = (count: number) => (count === 1 ? '1 round' : `${count} rounds`)
const wines = (count: number) => (count === 1 ? '1 wine' : `${count} wines`)

export const practice = {
  title: 'Practise at home',
  sub: 'Practice',
  invented: 'Invented figures, for trying things out.',

  start: {
    about:
      'Mark a few wines on the same rulers as at a tasting, and see how your marks lie beside a panel’s: am I severe, do I use the whole ruler, do I repeat myself, do I find what others find?',
    stays: 'Everything stays on this device. Nothing is sent, no account is needed, and after the first visit no network either.',
    file: 'A set from the organiser, or a saved practice',
    fileAbout: 'With a set your marks are compared with what a past panel found. A practice saved elsewhere goes on here.',
    fileGo: 'Open a file',
    own: 'Bottles of my own',
    ownAbout: 'Without a panel to compare with; it shows how steadily you mark, once a wine is poured again.',
    ownGo: 'Begin with own bottles',
    guide: 'How to look, smell and taste',
    join: 'To a tasting',
  },

  cautions: {
    title: 'Before you pour',
    own: [
      'Small pours will do. Spit as often as you like; nobody has to finish a glass.',
      'Eat before you start. Keep water at hand, and drink it.',
      'Do not drive, cycle or work machines afterwards. Settle the way home first.',
      'Wine is for those of legal age where you are.',
      'Do not taste if you are pregnant, if drink has been a trouble to you, or if your medicine and alcohol do not mix.',
      'Wine holds sulphites, and may hold traces of egg, milk or fish. If you have an allergy, ask first.',
      'Stop when you have had enough. Local law comes before this page.',
    ],
    short: 'Small pours, spit, water and something to eat; nobody drives. Local law comes first.',
    go: 'Go on',
  },

  home: {
    own: 'Bottles of my own',
    compared: (tasters: string) => `Compared with a panel of ${tasters} tasters.`,
    alone: 'There is no panel to compare with in this practice.',
    nothing: 'Nothing is marked yet.',
    mark: 'Mark a wine',
    goOn: 'Go on marking',
    stands: 'Where you stand',
    more: 'Progress over sessions',
    next: 'To practise next',
    wines: 'Wines of this set',
    sessions: 'What you marked',
    all: (count: number) => `Show all ${count} sessions`,
    times: (count: number) => (count === 0 ? 'not yet' : count === 1 ? 'once' : `${count} times`),
    drills: 'Can the two be told apart?',
    drillsAbout: 'A drill for two: one pours, one tastes.',
    drillsGo: 'Draw a drill',
    drillsOn: 'Go on with the drill',
    keep: 'Your practice file',
    keepAbout:
      'Save it now and then: a browser may clear what it keeps. The file opens in this app on another device, and with “halfpoint practice” on a computer.',
    save: 'Save to a file',
    open: 'Open a file',
    another: 'Begin another practice',
    practices: 'Practices on this device',
    begun: (name: string, day: string) => `${name}, begun ${day}`,
    unread: (lines: string) =>
      `Line ${lines} of this practice could not be read. It was left as it is, and everything else counts.`,
    device: 'This device',
  },

  came: {
    begun: 'Opened. This practice is now on this device.',
    joined: 'Opened. It goes on in this practice.',
    beside: 'Opened as a practice beside the other one.',
    'another-sheet': 'This set is on another score sheet, so it is a practice of its own.',
    known: 'This was here already; nothing is new.',
    empty: 'There is nothing in this file.',
    result: 'This is the whole result of a tasting. Ask the organiser for the practice set made from it.',
    phone: 'These are marks of a tasting, for the host. They are no practice.',
    later: 'This set is of a later version. Load this page anew, then open it again.',
    'broken-set': 'This set is not whole: its panel’s figures do not fit its wines and sheet. Ask for it again.',
    other: 'This is no practice file and no set. Nothing was changed.',
  },

  mark: {
    title: 'Mark a wine',
    correct: (wine: string) => `Mend the marks of ${wine}`,
    total: 'total so far',
    which: 'Which wine was it?',
    whichAbout: 'Best said at the end, when somebody else has poured.',
    choose: 'choose',
    another: 'another wine',
    name: 'Its name',
    later: 'Do not show the panel’s marks yet',
    laterAbout: 'For a wine that will be poured again, unknown to you.',
    toGo: (count: number) => (count === 1 ? '1 mark to go' : `${count} marks to go`),
    sayWhich: 'say which wine it was',
    kept: 'kept on this device',
    go: 'Keep and compare',
    goLater: 'Keep',
    goOwn: 'Keep',
    back: 'Back to practice',
  },

  feedback: {
    alone: (own: string) =>
      `There is no panel to compare with in this practice, so nothing is said of whether ${own} is high or low.`,
    notThere: (title: string, own: string) =>
      `${title} did not have this wine, so nothing is said of whether ${own} is high or low.`,
    again: 'Kept. Pour it again another time without knowing which it is: that shows how steadily you mark.',
    noTotal: 'The panel’s figures have no total for this wine.',
    within: (own: string, panel: string, low: string, high: string) =>
      `You gave ${own}; the panel ${panel} (${low} to ${high} for a bottle like yours). That is where the panel is.`,
    above: (own: string, panel: string, low: string, high: string, gap: string) =>
      `You gave ${own}; the panel ${panel} (${low} to ${high} for a bottle like yours). You are ${gap} points above it.`,
    below: (own: string, panel: string, low: string, high: string, gap: string) =>
      `You gave ${own}; the panel ${panel} (${low} to ${high} for a bottle like yours). You are ${gap} points below it.`,
    several: 'No single category makes the difference; it is a little of several.',
    mostAbove: (category: string, own: string, panel: string) =>
      `Most of it is ${category}: you gave ${own}, the panel ${panel}. It is worth going back to the glass to see what puts you above them.`,
    mostBelow: (category: string, own: string, panel: string) =>
      `Most of it is ${category}: you gave ${own}, the panel ${panel}. It is worth going back to the glass to see what puts you below them.`,
    shared: (terms: string) => `You and the panel both found ${terms}.`,
    missed: (terms: string) => `Others found ${terms}: smell again with that in mind.`,
    yours: (terms: string) => `Yours alone, and it may well be there: ${terms}.`,
    faults: (faults: string) =>
      `You ticked ${faults}: this bottle may not be as the panel’s were, so its marks are kept and not counted.`,
    beside: 'Your marks beside the panel’s',
    how: 'Your mark is the round knob. The short bar is the panel’s, and the line is where it may lie for a bottle like yours.',
    both: (own: string, panel: string) => `you ${own}, the panel ${panel}`,
    ownOnly: (own: string) => `you ${own}`,
    total: 'Total',
    next: 'Next wine',
    correct: 'Mend these marks',
    corrected: 'These marks were mended later and no longer count.',
    back: 'Back to practice',
    toGo: (count: number) =>
      count === 1
        ? 'After one more wine there is something to say of how you mark.'
        : `After ${count} more wines there is something to say of how you mark.`,
  },

  said: {
    few: 'So few wines say nothing yet of how you mark; a flight of six is a good beginning.',
    level: (span: string) => `So far you mark about where the panel does (${span}).`,
    above: (points: string, span: string) => `So far you mark ${points} points above the panel (${span}).`,
    below: (points: string, span: string) => `So far you mark ${points} points below the panel (${span}).`,
    bothAbove: (low: string, high: string) => `${low} to ${high} above`,
    bothBelow: (low: string, high: string) => `${low} to ${high} below`,
    across: (below: string, above: string) => `${below} below to ${above} above`,
    same: 'Every total of the last session is the same, so it says nothing of how you tell wines apart. Next time, ask of each wine: more or less than the one before?',
    spread: (value: string, low: string, high: string) =>
      `Between two wines you put ${value} times the panel’s difference (${low} to ${high}).`,
    noise: (value: string, low: string, high: string) =>
      `A mark of yours varies by about ${value} points (${low} to ${high}).`,
    agreement: (value: string, low: string, high: string) =>
      `Your order of wines goes with the panel’s by ${value} of 1 (${low} to ${high}).`,
    neverAgain: 'No wine was poured again yet, so nothing is known of how well you repeat a mark.',
    again: (times: number, value: string) =>
      `Poured again ${times === 1 ? 'once' : `${times} times`}: a total given again varies by about ${value} points.`,
    againFew: 'That is little to go by yet.',
  },

  advice: {
    unsure: {
      severity: (category: string, count: number) =>
        `After ${wines(count)} it is least certain, for ${category}, whether you mark above or below the panel. More marks will show it.`,
      spread: (category: string, count: number) =>
        `After ${wines(count)} it is least certain, for ${category}, whether you put wines as far apart as the panel does. More marks will show it.`,
      steadiness: (category: string, count: number) =>
        `After ${wines(count)} it is least certain, for ${category}, how steadily you mark. More marks will show it.`,
    },
    above: (category: string, points: string, low: string, high: string) =>
      `For ${category} you mark about ${points} points above the panel (${low} to ${high}).`,
    below: (category: string, points: string, low: string, high: string) =>
      `For ${category} you mark about ${points} points below the panel (${low} to ${high}).`,
    closer: (category: string, times: string, low: string, high: string) =>
      `For ${category} you put wines closer together than the panel: ${times} times as far (${low} to ${high}).`,
    apart: (category: string, times: string, low: string, high: string) =>
      `For ${category} you put wines further apart than the panel: ${times} times as far (${low} to ${high}).`,
    unsteady: (category: string, points: string, low: string, high: string) =>
      `For ${category} your marks vary from the panel’s by about ${points} points from wine to wine (${low} to ${high}), more than is usual.`,
    exercise: {
      severity: (category: string, pair: string) =>
        `Pour ${pair} and mark ${category} only, with the guidance for it beside you; then look at the panel’s marks and taste once more.`,
      spread: (category: string, pair: string) =>
        `Pour ${pair} side by side: the panel put them furthest apart for ${category}. Find what makes the difference, and give it its room on the ruler.`,
      steadiness: (category: string, pair: string) =>
        `Have ${pair} poured twice each among other wines, without being told where. Mark ${category} by the same question each time, and compare the two marks.`,
    },
  },

  progress: {
    title: 'Progress over sessions',
    about:
      'Each line is what all marks up to that session say, drawn towards the panel as far as few marks deserve. The thin line holds the truth 95 times in 100.',
    of: 'Of',
    total: 'Total',
    figure: 'What',
    figures: {
      severity: 'above or below the panel',
      spread: 'how far apart wines are put',
      noise: 'how much a mark varies',
      agreement: 'agreement with the panel',
    },
    axis: {
      severity: 'points below and above the panel',
      spread: 'times the panel’s difference',
      noise: 'points',
      agreement: '1 is the same order',
    },
    wines: (count: number) => wines(count),
    none: 'nothing to compare',
    few: 'too few wines, or all marks alike',
    above: (value: string) => `${value} above`,
    below: (value: string) => `${value} below`,
    level: 'level',
    span: (value: string, low: string, high: string) => `${value} (${low} to ${high})`,
    back: 'Back to practice',
    nothing: 'Once wines with a panel’s marks are marked, your progress is drawn here.',
  },

  drill: {
    title: 'Can the two be told apart?',
    kinds: { triangle: 'Triangle', 'duo-trio': 'Duo-trio' },
    abouts: {
      triangle: 'Three glasses, two of them the same wine. Which is the odd one?',
      'duo-trio': 'One glass is the reference. Which of the other two is the same wine?',
    },
    kind: 'Kind of drill',
    rounds: 'Rounds',
    roundsAbout: 'One to sixty, and few enough to stay fresh: six at a sitting. Rounds of several days add up.',
    pair: 'Which two wines?',
    pairAbout: 'Both named together, such as “Riesling and Chenin”. Then rounds of several days on them add up.',
    needs: (right: number, count: number, power: number) =>
      `${right} right of ${count}, or more, will say that the two can be told apart. Someone who truly tells them half of the time gets there ${power} times in 100.`,
    tooFew: 'With so few rounds even all right could be luck; four or five are better.',
    draw: 'Draw it',
    hand: 'Hand this device to whoever pours',
    handAbout: 'The next screen says what is in each glass. Whoever tastes looks away until the glasses stand.',
    iPour: 'I am pouring: show me',
    pourer: 'For whoever pours',
    decide: (a: number, b: number) =>
      `Decide which wine is A and which is B: ${a} glasses of A and ${b} of B in all, every glass filled alike.`,
    sight: 'Pour out of sight, write the code on each glass, and serve from left to right, round by round. Rest a minute between rounds, with water and bread.',
    round: (number: number) => `Round ${number}`,
    first: 'reference',
    print: 'Print this page',
    hide: 'All noted: hide it',
    taster: 'For whoever tastes',
    choose: (number: number, count: number) => `Round ${number} of ${count}`,
    even: 'Answer each round, even by a guess.',
    lookAgain: 'For whoever pours: show it again',
    done: 'Say how it went',
    toGo: (count: number) => `${rounds(count)} to answer`,
    leave: 'Give up this drill',
    leaveSure: 'Its answers will not be kept.',
    leaveYes: 'Give it up',
    leaveNo: 'Go on with it',
    found: 'What the answers say',
    few: (right: number, count: number) =>
      `${right} of ${count} right. With so few rounds even all right could be luck; a few more will tell.`,
    apart: (right: number, count: number, enough: number, low: number, high: number) =>
      `${right} of ${count} right, and ${enough} are enough: the two can be told apart (truly told ${low} to ${high} times in 100, the rest lucky).`,
    notYet: (right: number, count: number, enough: number, low: number, high: number) =>
      `${right} of ${count} right; ${enough} would be enough to say that the two can be told apart. That does not mean they are alike: truly told ${low} to ${high} times in 100 is all in keeping with it.`,
    luck: (chance: string) => `By guessing alone so many right come ${chance} times in 100.`,
    needed: (count: number, right: number) =>
      `To find out 8 times in 10 what is told half of the time, it takes ${count} rounds, ${right} of them right; rounds of several days add up.`,
    sofar: (pair: string, kind: string) => `${pair}, every ${kind} round so far:`,
    again: 'Draw another',
    back: 'Back to practice',
  },

  trouble: {
    store: 'This browser does not let the page keep anything on this device.',
    storeWhy: 'Marks would be lost. Leave private browsing or free some space, then load the page again.',
    reload: 'Load again',
    insecure: 'This page came without encryption, so this browser does not let it open without the server. What you mark is kept all the same.',
  },
}
export type PracticeWords = typeof practice
