import { describe, expect, test } from 'vitest'
import { changesOf, wantedOf } from '../src/desk/entries/changes'
import type { EntryShown } from '../src/desk/types'
import { addWord, edited, setFinish, setMark, toggle } from '../src/taster/draft'

const shown = {
  entry: { entry: 3, site: 'mill', seat: 1, taster: 'ansel', code: '483', position: 1, total: 15, aside: false },
  version: 0,
  marks: { aroma: 4.5, taste: 4 },
  terms: ['lemon', 'hay'],
  families: [],
  faults: [],
  own_words: ['wet, warm slate'],
  finish_seconds: null,
  finish_band: '',
  remark: 'bright',
  names: null,
} as unknown as EntryShown
const begun = wantedOf(shown)
const draft = (...changes: Parameters<typeof edited>[1][]) =>
  changes.reduce((now, change) => edited(now, change, new Date(0)), begun.draft)

describe('a correction', () => {
  test('is empty while nothing reads otherwise, in whatever order words stand', () => {
    expect(changesOf(shown, begun)).toEqual({})
    const turned = draft(toggle('terms', 'lemon'), toggle('terms', 'lemon'))
    expect(turned.terms).toEqual(['hay', 'lemon'])
    expect(changesOf(shown, { ...begun, draft: turned })).toEqual({})
  })
  test('has each field that changed, and lists whole', () => {
    const wanted = {
      draft: draft(setMark('aroma', 3), toggle('faults', 'corked'), setFinish(12), addWord('smoke, cold')),
      from: { ...begun.from, code: ' 512 ', seat: '2' },
      band: 'long',
    }
    expect(changesOf(shown, wanted)).toEqual({
      aroma: 3,
      faults: ['corked'],
      own_words: ['wet, warm slate', 'smoke, cold'],
      finish_seconds: 12,
      code: '512',
      seat: '2',
      finish_band: 'long',
    })
  })
  test('says that a mark was cleared', () => {
    expect(changesOf(shown, { ...begun, draft: draft(setMark('taste', null)) })).toEqual({ taste: null })
  })
  test('names taster and wine where nothing is planned', () => {
    const names = { taster: 'ansel', wine: 'Tarnbeck', site: '' }
    const unplanned = { ...shown, names }
    const wanted = wantedOf(unplanned)
    expect(changesOf(unplanned, wanted)).toEqual({})
    const other = { ...wanted, from: { ...names, wine: 'Sallowfen' } }
    expect(changesOf(unplanned, other)).toEqual({ wine: 'Sallowfen' })
  })
})
