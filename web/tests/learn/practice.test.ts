/** Practice files as the command line wrote them, and what it says of them. */
import { describe, expect, test } from 'vitest'
import { advise, points } from '../../src/learn/advice'
import { calibrate } from '../../src/learn/calibration'
import { beganLine, drilledLine, markedLine, readDiary, standing, type Diary } from '../../src/learn/diary'
import { feedBack, type Beside } from '../../src/learn/feedback'
import { follow } from '../../src/learn/progress'
import { remembering } from '../../src/learn/remember'
import { LEARNED, near, nearEstimate } from './figures'

// Sums in another order, and other ways to the same eigenvalues.
const CLOSE = 1e-8

function read(text: string): Diary {
  const diary = readDiary(text.split('\n'))
  if (!diary) throw new Error('no practice')
  return diary
}
const text = (name: string) => LEARNED.practices.find((each) => each.name === name)!.text

describe.each(LEARNED.practices)('the practice “$name”', ({ text, told }) => {
  const diary = read(text)
  const progress = follow(diary)

  test('is read whole', () => {
    expect(diary.unread).toEqual([])
    expect(progress.wines).toBe(told.wines)
    expect(progress.sessions.map(({ session, entries, compared }) => [session, entries.length, compared])).toEqual(
      told.sessions.map(({ session, entries, compared }) => [session, entries, compared]),
    )
  })
  test('has the command line’s severity, spread, noise, agreement and repeatability', () => {
    told.sessions.forEach(({ session, found }, at) => {
      const mine = progress.sessions[at]!.found
      expect(Object.keys(mine).sort()).toEqual(Object.keys(found).sort())
      for (const [key, expected] of Object.entries(found)) {
        const one = mine[key]!
        for (const name of ['severity', 'spread', 'noise', 'agreement', 'repeatability'] as const) {
          nearEstimate(one[name], expected[name], CLOSE, `${session} ${key} ${name}`)
        }
        expect([one.wines, one.marks, one.secondPours, one.sameMark, one.told]).toEqual(
          ['wines', 'marks', 'second_pours', 'same_mark', 'told'].map((name) => expected[name]),
        )
      }
    })
  })
  test('has the command line’s own steadiness', () => {
    expect(progress.steadiness?.pairs).toBe(told.steadiness?.pairs)
    near(progress.steadiness?.sd ?? 0, told.steadiness?.sd ?? 0, 1e-12)
  })
  test('gives the command line’s feedback on each wine', () => {
    const labels = new Map(diary.sheet.families.flatMap(({ terms }) => terms.map(({ key, label }) => [key, label])))
    const said = diary.stages.flatMap((stage) =>
      standing(stage.marked).map(({ entry }) => feedBack(entry, diary.sheet, stage.reference)),
    )
    expect(said).toHaveLength(told.feedback.length)
    said.forEach((mine, at) => {
      const expected = told.feedback[at]!
      expect(mine.wine).toBe(expected.wine)
      const besides: [Beside | null, Beside | null][] = [
        [mine.total, expected.total],
        [mine.driver, expected.driver],
        ...mine.categories.map((one, n): [Beside, Beside] => [one, expected.categories[n]!]),
      ]
      for (const [one, other] of besides) {
        expect(one?.key).toBe(other?.key)
        for (const name of ['own', 'panel', 'low', 'high', 'gap'] as const) {
          near(one?.[name] ?? 0, other?.[name] ?? 0, 1e-12, `${mine.wine} ${one?.key} ${name}`)
        }
      }
      const words = [mine.shared, mine.missed, mine.alone].map((keys) => keys.map((key) => labels.get(key)))
      expect(words).toEqual([expected.shared, expected.missed, expected.own_alone])
    })
  })
  test('leads to the command line’s advice', () => {
    const reference = diary.stages.at(-1)!.reference
    if (!reference || !Object.keys(progress.now).length) return expect(told.advice).toBeNull()
    const ranked = points(progress.now, reference, diary.sheet)
    expect(ranked.map(({ category, aspect, sure }) => [category, aspect, sure])).toEqual(
      told.points.map(({ category, aspect, sure }) => [category, aspect, sure]),
    )
    ranked.forEach((one, at) => {
      near(one.off, told.points[at]!.off, CLOSE, `${one.category} ${one.aspect} off`)
      near(one.unknown, told.points[at]!.unknown, CLOSE, `${one.category} ${one.aspect} unknown`)
    })
    expect(advise(progress.now, reference, diary.sheet)?.wines).toEqual(told.advice)
  })
  test('is written back as it was read', () => {
    const lines = diary.stages.flatMap((stage) => [
      beganLine(diary.sheet, stage.reference, stage.own),
      ...stage.marked.map(markedLine),
    ])
    const again = readDiary([...lines, ...diary.drilled.map(drilledLine)])
    expect(again).toEqual(diary)
  })
})

describe('a practice file', () => {
  test('of something else is none', () => {
    for (const other of ['', '{}', 'null', '[1, 2]', 'not JSON', '{"kind":"marked"}']) {
      expect(readDiary(other.split('\n')), other).toBeNull()
    }
  })
  test('with a line cut short tells which, and the rest stands', () => {
    const lines = text('flight').trimEnd().split('\n')
    const cut = [...lines.slice(0, 3), lines[3]!.slice(0, 40), ...lines.slice(4)]
    const diary = read(cut.join('\n'))
    expect(diary.unread).toEqual([4])
    expect(diary.stages[0]!.marked).toHaveLength(5)
  })
  test('never takes half a reference', () => {
    const [first = ''] = text('flight').split('\n')
    const record = JSON.parse(first)
    for (const spoil of [
      { marks: { total: { score: [1] } } },
      { wines: [] },
      { marks: { ...record.reference.marks, total: { ...record.reference.marks.total, covariance: [[1]] } } },
      { priors: {} },
    ]) {
      const spoiled = { ...record, reference: { ...record.reference, ...spoil } }
      expect(readDiary([JSON.stringify(spoiled)])).toBeNull()
    }
  })
})

describe('what a learner is told', () => {
  test('is nothing of habits before three wines, or of equal marks', () => {
    for (const name of ['one wine', 'same mark']) {
      for (const one of Object.values(follow(read(text(name))).now)) expect(one.told, name).toBe(false)
    }
  })
  test('is worked out anew for the last session only', () => {
    const diary = read(text('years'))
    const asked: number[] = []
    const by = remembering((...given) => {
      asked.push(given[0].length)
      return calibrate(...given)
    })
    const before = follow(diary, by)
    const first = asked.length
    expect(follow(diary, by)).toEqual(before)
    expect(asked).toHaveLength(first)
    const last = diary.stages.at(-1)!
    last.marked.push({ ...last.marked[0]!, session: '2026-03-01', corrects: false })
    follow(diary, by)
    expect(asked.length - first).toBe(Object.keys(last.reference!.marks).length)
  })
  test('marks that are no numbers are refused', () => {
    const known = read(text('flight')).stages[0]!.reference!
    expect(() => calibrate([NaN], [0], known.marks['total']!, known.priors['total']!)).toThrow(RangeError)
    expect(() => calibrate([], [], known.marks['total']!, known.priors['total']!)).toThrow(RangeError)
  })
})
