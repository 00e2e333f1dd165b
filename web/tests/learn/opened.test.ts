import { describe, expect, test } from 'vitest'
import { continues, opened, sameSheet } from '../../src/learn/opened'
import { LEARNED } from './figures'

const text = LEARNED.practices[0]!.text
const begun = JSON.parse(text.split('\n')[0]!)
const set = { kind: 'practice_set', form: 1, sheet: begun.sheet, reference: begun.reference }

describe('a file that is opened', () => {
  test('as a practice brings its lines', () => {
    const found = opened(text)
    expect(found).toMatchObject({ isSet: false })
    expect('lines' in found && found.lines).toHaveLength(7)
  })
  test('as a set begins a practice, however it is laid out', () => {
    for (const laid of [JSON.stringify(set), JSON.stringify(set, null, 1)]) {
      const found = opened(laid)
      expect('diary' in found && found.diary.stages[0]?.reference?.wines).toEqual(begun.reference.wines)
      expect('lines' in found && found.lines).toHaveLength(1)
    }
  })
  test.each([
    ['', 'empty'],
    ['Dear all,', 'other'],
    [JSON.stringify({ wines: [], categories: {} }), 'result'],
    [JSON.stringify({ format: 'halfpoint-phone' }), 'phone'],
    [JSON.stringify({ ...set, form: 2 }), 'later'],
    [JSON.stringify({ ...set, reference: null }), 'broken-set'],
    [JSON.stringify({ ...set, sheet: { ...begun.sheet, categories: [begun.sheet.categories[0]] } }), 'broken-set'],
    [JSON.stringify({ ...set, reference: { ...begun.reference, wines: [] } }), 'broken-set'],
  ])('that is of no use says why: %.30s', (given, unfit) => expect(opened(given)).toEqual({ unfit }))
})

test('one practice goes on in another only where the lines are the same', () => {
  expect(continues(['a', 'b'], ['a', 'b', 'c'])).toEqual(['c'])
  expect(continues(['a', 'b'], ['a'])).toEqual([])
  expect(continues(['a', 'b'], ['a', 'x', 'c'])).toBeNull()
})

test('sheets are the same whatever the order of their keys', () => {
  expect(sameSheet({ a: 1, b: [1, 2] }, { b: [1, 2], a: 1 })).toBe(true)
  expect(sameSheet({ a: 1, b: [1, 2] }, { b: [2, 1], a: 1 })).toBe(false)
})
