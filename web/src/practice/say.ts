/** Feedback, standing, advice and drills in the words of the person. */
import type { Advice } from '../learn/advice'
import { FEWEST_WINES, type Calibration } from '../learn/calibration'
import type { Drilled, Entry } from '../learn/diary'
import { HALF_TELL, judge, needed, type Judged, type Test } from '../learn/difference'
import { isWithin, type Beside, type Feedback } from '../learn/feedback'
import { holds, type Estimate } from '../learn/prior'
import type { OwnSteadiness, Progress } from '../learn/progress'
import { TOTAL, type Reference } from '../learn/reference'
import type { PracticeSheet } from '../learn/sheet'
import { listed, points } from '../parts/say'
import { written } from '../parts/scale'
import type { PracticeWords } from '../words/en/practice'
import type { SharedWords } from '../words/en/shared'

/** Words and numbers of a language. */
export interface Saying {
  language: string
  practice: PracticeWords
  shared: SharedWords
}

const ENOUGH = 6
const FEW_PAIRS = 3

const mark = (value: number, { shared }: Saying) => written(value, shared.decimal)

/** What to say of one wine: the total, what drives it, aromas, faults. */
export function sayFeedback(
  found: Feedback,
  entry: Entry,
  sheet: PracticeSheet,
  reference: Reference | null,
  say: Saying,
): string[] {
  const words = say.practice.feedback
  const own = mark(entry.total, say)
  if (!reference) return [words.alone(own), words.again]
  if (!reference.wines.includes(entry.wine)) return [words.notThere(reference.title, own), words.again]
  return [
    ...sayTotal(found, say),
    ...sayDriver(found, sheet, say),
    ...sayAromas(found, sheet, say),
    ...sayFaults(entry, sheet, say),
  ]
}

function sayTotal({ total }: Feedback, say: Saying): string[] {
  const words = say.practice.feedback
  if (!total) return [words.noTotal]
  const [own, panel, low, high] = [mark(total.own, say), ...[total.panel, total.low, total.high].map((each) => points(each, say))] as [string, string, string, string]
  if (isWithin(total)) return [words.within(own, panel, low, high)]
  const gap = points(Math.abs(total.gap), say)
  return [(total.gap > 0 ? words.above : words.below)(own, panel, low, high, gap)]
}

function sayDriver({ total, driver }: Feedback, sheet: PracticeSheet, say: Saying): string[] {
  const words = say.practice.feedback
  if (!total || isWithin(total)) return []
  if (!driver) return [words.several]
  const most = driver.gap > 0 ? words.mostAbove : words.mostBelow
  return [most(labelIn(sheet, driver.key, say), mark(driver.own, say), points(driver.panel, say))]
}

function sayAromas({ shared, missed, alone }: Feedback, sheet: PracticeSheet, say: Saying): string[] {
  const words = say.practice.feedback
  const labels = new Map(sheet.families.flatMap(({ terms }) => terms.map(({ key, label }) => [key, label])))
  const inWords = (keys: string[]) => listed(keys.map((key) => labels.get(key) ?? key), say)
  return [
    ...(shared.length ? [words.shared(inWords(shared))] : []),
    ...(missed.length ? [words.missed(inWords(missed))] : []),
    ...(alone.length ? [words.yours(inWords(alone))] : []),
  ]
}

function sayFaults({ faults }: Entry, sheet: PracticeSheet, say: Saying): string[] {
  if (!faults.length) return []
  const labels = new Map(sheet.faults.map(({ key, label }) => [key, label]))
  return [say.practice.feedback.faults(listed(faults.map((key) => inSentence(labels.get(key) ?? key, say)), say))]
}

/** The two marks of one ruler, for those who cannot see it. */
export function sayBeside(one: Beside, say: Saying): string {
  return say.practice.feedback.both(mark(one.own, say), points(one.panel, say))
}

/** One sentence on how the learner marks, or how many wines it takes until there is one. */
export function sayShort(progress: Progress, say: Saying): string {
  const total = progress.now[TOTAL]
  if (!total) return ''
  const left = ENOUGH - progress.wines
  return left > 0 ? say.practice.feedback.toGo(left) : sayLevel(total.severity, say)
}

/** Where the learner's level lies, no surer than the marks. */
export function sayLevel(severity: Estimate, say: Saying): string {
  const words = say.practice.said
  const size = points(Math.abs(severity.value), say)
  if (holds(severity, 0) || Number(severity.value.toFixed(1)) === 0) return words.level(span(severity, say))
  return (severity.value > 0 ? words.below : words.above)(size, span(severity, say))
}

/** The interval of a level: `1.2 below to 0.3 above`. */
function span({ low, high }: Estimate, say: Saying): string {
  const words = say.practice.said
  const [from, to] = [Math.abs(high), Math.abs(low)].map((each) => points(each, say)) as [string, string]
  // Severity is counted downwards.
  if (-high > 0) return words.bothAbove(from, to)
  return -low > 0 ? words.across(from, to) : words.bothBelow(from, to)
}

/** Severity, spread, steadiness and agreement of the total, as far as the marks bear. */
export function sayStanding(found: Calibration, say: Saying): string[] {
  const words = say.practice.said
  if (found.wines < FEWEST_WINES) return [words.few]
  const level = sayLevel(found.severity, say)
  if (found.sameMark) return [level, words.same]
  return [
    level,
    words.spread(...figures(found.spread, say)),
    words.noise(...figures(found.noise, say)),
    words.agreement(...figures(found.agreement, say, 2)),
  ]
}

export function saySteadiness(found: OwnSteadiness | null, say: Saying): string {
  const words = say.practice.said
  if (!found) return words.neverAgain
  const said = words.again(found.pairs, points(found.sd, say))
  return found.pairs < FEW_PAIRS ? `${said} ${words.againFew}` : said
}

/** What to practise next: why, and what to do. */
export function sayAdvice(advice: Advice, sheet: PracticeSheet, say: Saying): [string, string] {
  const words = say.practice.advice
  const { point, found, wines } = advice
  const label = labelIn(sheet, point.category, say)
  const exercise = words.exercise[point.aspect](label, listed(wines, say))
  if (!point.sure) return [words.unsure[point.aspect](label, found.wines), exercise]
  if (point.aspect === 'severity') {
    const [low, high] = [found.severity.low, found.severity.high].map(Math.abs).sort((a, b) => a - b) as [number, number]
    const why = found.severity.value > 0 ? words.below : words.above
    const size = Math.abs(found.severity.value)
    return [why(label, ...figures({ value: size, low, high }, say)), exercise]
  }
  if (point.aspect === 'spread') {
    const why = found.spread.value < 1 ? words.closer : words.apart
    return [why(label, ...figures(found.spread, say)), exercise]
  }
  return [words.unsteady(label, ...figures(found.noise, say)), exercise]
}

function figures(
  { value, low, high }: Pick<Estimate, 'value' | 'low' | 'high'>,
  say: Saying,
  digits = 1,
): [string, string, string] {
  return [points(value, say, digits), points(low, say, digits), points(high, say, digits)]
}

/** What a drill's answers say. */
export function sayJudged(found: Judged, say: Saying): string[] {
  const words = say.practice.drill
  const { right, answers, fewest } = found
  const luck = words.luck(significant(100 * found.p, say))
  if (fewest === null) return [words.few(right, answers), luck, ...sayNeeded(found, say)]
  const [low, high] = [found.low, found.high].map((share) => Math.round(100 * share)) as [number, number]
  const verdict = right >= fewest ? words.apart : words.notYet
  return [verdict(right, answers, fewest, low, high), luck, ...sayNeeded(found, say)]
}

function sayNeeded({ test, power }: Judged, say: Saying): string[] {
  const enough = power < 0.8 ? needed(HALF_TELL, test) : null
  return enough ? [say.practice.drill.needed(enough.answers, enough.right)] : []
}

/** Drills of each kind on the same two wines together; those of unnamed wines add up to none. */
export function sayDrilled(drilled: Drilled[], say: Saying): { name: string; said: string }[] {
  const kinds = new Map<string, Drilled[]>()
  for (const one of drilled.filter(({ pair }) => pair.trim())) {
    const name = `${one.test} ${folded(one.pair)}`
    kinds.set(name, [...(kinds.get(name) ?? []), one])
  }
  return [...kinds.values()].map((mine) => {
    const [{ test, pair }] = mine as [Drilled]
    const sum = (of: 'answers' | 'right') => mine.reduce((total, one) => total + one[of], 0)
    const [said = ''] = sayJudged(judge(test, sum('answers'), sum('right')), say)
    return { name: say.practice.drill.sofar(pair, kindIn(test, say)), said }
  })
}

const kindIn = (test: Test, say: Saying) => inSentence(say.practice.drill.kinds[test], say)

function folded(text: string): string {
  return text.replace(/\s+/g, ' ').trim().toLocaleLowerCase()
}

function significant(value: number, { language }: Saying): string {
  return value.toLocaleString(language, { maximumSignificantDigits: 3 })
}

function labelIn(sheet: PracticeSheet, key: string, say: Saying): string {
  return inSentence(sheet.categories.find((each) => each.key === key)?.label ?? key, say)
}

/** English writes such a word small within a sentence; German leaves it as it is. */
const inSentence = (label: string, { language }: Saying) =>
  language === 'en' ? label.toLocaleLowerCase('en') : label
