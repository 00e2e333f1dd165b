import { describe, expect, test } from 'vitest'
import {
  addRow,
  keyFrom,
  placeOf,
  problemsAt,
  removeRow,
  rowsOf,
  setInRow,
  setSingle,
  shownIn,
  typed,
  type Form,
} from '../src/desk/tasting/form'

const FORM: Form = {
  tasting: { key: 'mossgate', title: 'Mossgate evening (invented)' },
  wine: [
    { key: 'tarn', name: 'Tarn' },
    { key: 'own-key', name: 'Sallowfen' },
  ],
  site: [{ key: 'mill', name: 'The Old Mill', pinned: ['tarn'] }],
  taster: [{ key: 'ansel', site: 'mill' }],
}

describe('the form of a tasting', () => {
  test('takes out what is emptied', () => {
    expect(setSingle(FORM, 'tasting', 'title', undefined)['tasting']).toEqual({ key: 'mossgate' })
  })
  test('lets a key follow the name until it has one of its own', () => {
    const renamed = setInRow(FORM, 'wine', 0, 'name', 'Tarnbeck Drumlark')
    expect(rowsOf(renamed, 'wine')[0]?.['key']).toBe('tarnbeck-drumlark')
    const other = setInRow(FORM, 'wine', 1, 'name', 'Sallowfen Oxpiper')
    expect(rowsOf(other, 'wine')[1]?.['key']).toBe('own-key')
  })
  test('lets whatever points to a row follow its key', () => {
    const wine = setInRow(FORM, 'wine', 0, 'name', 'Tarnbeck')
    expect(rowsOf(wine, 'site')[0]?.['pinned']).toEqual(['tarnbeck'])
    const site = setInRow(FORM, 'site', 0, 'key', 'water-mill')
    expect(rowsOf(site, 'taster')[0]?.['site']).toBe('water-mill')
  })
  test('adds and takes out rows without touching the others', () => {
    expect(rowsOf(addRow(FORM, 'wine'), 'wine')).toHaveLength(3)
    expect(rowsOf(removeRow(FORM, 'wine', 0), 'wine')).toEqual([FORM['wine']].flat().slice(1))
  })
})

test('a key is made from any name', () => {
  expect(keyFrom('Grüner  Veltliner, Spätlese')).toBe('gruner-veltliner-spatlese')
  expect(keyFrom('Weiß 🍷')).toBe('weiss')
  expect(keyFrom(undefined)).toBe('')
})

test('what is typed becomes what the file holds', () => {
  expect(typed('whole', ' 12 ')).toBe(12)
  expect(typed('number', '12,5')).toBe(12.5)
  expect(typed('number', '')).toBeUndefined()
  expect(typed('number', 'twelve')).toBe('twelve')
  expect(typed('list', 'a, b ,')).toEqual(['a', 'b'])
  expect(typed('text', '')).toBeUndefined()
  expect(shownIn(['a', 'b'])).toBe('a, b')
  expect(shownIn(null)).toBe('')
})

describe('a problem', () => {
  // As the server says where (halfpoint.serve.desk.tasting_file).
  const problems = [
    { where: "wine 2 'own-key', key price", found: '-3', expected: '0 or more' },
    { where: 'tasting, key closes', found: '2026-03-01', expected: 'later' },
    { where: '', found: 'not valid TOML', expected: '' },
  ]
  test('is shown beside the field it is about', () => {
    expect(placeOf(problems[0]!)).toEqual({ table: 'wine', row: 1, key: 'price' })
    expect(problemsAt(problems, 'wine', 1, 'price')).toEqual([problems[0]])
    expect(problemsAt(problems, 'wine', 0, 'price')).toEqual([])
    expect(problemsAt(problems, 'tasting', null, 'closes')).toEqual([problems[1]])
  })
  test('of the whole file belongs to no field', () => {
    expect(placeOf(problems[2]!)).toEqual({ table: '', row: null, key: '' })
  })
})
