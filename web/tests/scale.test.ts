import { describe, expect, test } from 'vitest'
import { isOn, markOf, rowsOf, spoken, stepOf, stepsOf, totalOf, written } from '../src/parts/scale'
import { shared as de } from '../src/words/de/shared'
import { shared as en } from '../src/words/en/shared'

const aroma = { lowest: 0, top: 6, step: 0.5 }
const nose = { lowest: 0, top: 25, step: 0.5 }
const liking = { lowest: 1, top: 9, step: 1 }
const thirds = { lowest: 0, top: 2, step: 1 / 3 }

describe('a scale', () => {
  test('every step gives a mark that lies on it, and comes back as the same step', () => {
    for (const scale of [aroma, nose, liking, thirds, { lowest: 0, top: 2, step: 0.1 }]) {
      for (let step = 0; step <= stepsOf(scale); step++) {
        expect(isOn(scale, markOf(scale, step))).toBe(true)
        expect(stepOf(scale, markOf(scale, step))).toBe(step)
      }
    }
  })
  test('never gives a mark beyond its ends', () => {
    expect(markOf(aroma, -3)).toBe(0)
    expect(markOf(aroma, 99)).toBe(6)
    expect(markOf(liking, 0)).toBe(1)
  })
  test('knows a mark off the step', () => {
    expect(isOn(aroma, 4.3)).toBe(false)
    expect(isOn(aroma, 7)).toBe(false)
  })
})

describe('rows of a ruler', () => {
  test.each([246, 278, 312, 318, 600])('at %i pixels no step is narrower than 24', (width) => {
    for (const scale of [aroma, nose, liking, thirds]) {
      const rows = rowsOf(scale, width)
      const longest = Math.max(...rows.map((row) => row.length))
      expect(width / longest).toBeGreaterThanOrEqual(24)
      expect(rows.flat()).toEqual(Array.from({ length: stepsOf(scale) + 1 }, (_, step) => step))
    }
  })
  test('six points in halves fit on one row of a narrow phone', () => {
    expect(rowsOf(aroma, 312)).toHaveLength(1)
  })
  test('a long scale begins each row with a whole mark', () => {
    const rows = rowsOf(nose, 312)
    expect(rows.length).toBeGreaterThan(1)
    for (const row of rows) expect(Number.isInteger(markOf(nose, row[0] ?? -1))).toBe(true)
  })
})

describe('marks in words', () => {
  test.each([
    [0, '0'],
    [0.5, '½'],
    [4.5, '4½'],
    [12, '12'],
    [2.25, '2¼'],
    [7.2, '7.2'],
    [-1.5, '−1½'],
    [1 / 3, '⅓'],
  ])('%f is written %s', (mark, text) => expect(written(mark)).toBe(text))
  test('a comma where the language has one', () => expect(written(7.2, ',')).toBe('7,2'))
  test.each([
    [0, 'zero', 'null'],
    [0.5, 'half', 'einhalb'],
    [1.5, 'one and a half', 'eineinhalb'],
    [4.5, 'four and a half', 'viereinhalb'],
    [20, 'twenty', 'zwanzig'],
    [7.2, '7.2', '7,2'],
    [31, '31', '31'],
  ])('%f is spoken', (mark, english, german) => {
    expect(spoken(mark, en)).toBe(english)
    expect(spoken(mark, de)).toBe(german)
  })
  test('the total weighs each category, and has no dust of fractions', () => {
    const categories = [
      { key: 'a', weight: 1 },
      { key: 'b', weight: 2 },
      { key: 'c', weight: 1 },
    ]
    expect(totalOf(categories, { a: 0.1, b: 0.1, c: null })).toBe(0.3)
  })
})
