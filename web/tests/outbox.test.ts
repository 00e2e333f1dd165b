import { describe, expect, test } from 'vitest'
import { addWord, edited, emptyDraft, freshHints, hintName, setMark, setRemark, toggle, type Draft, type Said } from '../src/taster/draft'
import { asSent, isWaiting, MOST_BYTES, MOST_ENTRIES, parcels, pauseAfter, settled, standing } from '../src/taster/outbox'

const CATEGORIES = [{ key: 'aroma' }, { key: 'taste' }]
const NOW = new Date('2026-03-06T20:00:00Z')
const draft = () => emptyDraft('evening/mill/1', '481')
const marked = (aroma = 4.5) => edited(draft(), setMark('aroma', aroma), NOW)
const whole = () => edited(marked(), setMark('taste', 5), NOW)
const said = (version: number, state: Said['state'] = 'kept'): Said => ({
  version, state, entry: 1, problems: [], hints: [],
})

describe('a draft', () => {
  test('each edit is a new version; the same again is none', () => {
    const one = marked()
    expect([one.version, edited(one, setMark('aroma', 4.5), NOW)]).toEqual([1, one])
    expect(edited(one, setMark('aroma', 5), NOW).version).toBe(2)
  })
  test('a clock that was set back by hours still gives a newer version', () => {
    const later = edited(marked(), setMark('aroma', 3), new Date('2026-03-06T11:00:00Z'))
    expect([later.version, later.marks['aroma']]).toEqual([2, 3])
  })
  test('a term is ticked and taken away', () => {
    const ticked = edited(draft(), toggle('terms', 'lemon'), NOW)
    expect(ticked.terms).toEqual(['lemon'])
    expect(edited(ticked, toggle('terms', 'lemon'), NOW).terms).toEqual([])
  })
  test('an own word is tidied, and kept once however it is written', () => {
    const one = edited(draft(), addWord('  Wet   Wool '), NOW)
    expect(one.own_words).toEqual(['Wet Wool'])
    expect(edited(one, addWord('wet wool'), NOW)).toBe(one)
    expect(edited(one, addWord('عسل 🍯'), NOW).own_words).toEqual(['Wet Wool', 'عسل 🍯'])
  })
  test('a remark of ten megabytes is cut to what the server takes', () => {
    expect(edited(draft(), setRemark('x'.repeat(10_000_000)), NOW).remark).toHaveLength(10_000)
  })
  test('a hint is shown until it was read, and only for the version it is about', () => {
    const hint = { field: 'aroma', message: 'five or more terms are usual' }
    const answered: Draft = { ...marked(), said: { ...said(1), hints: [hint] } }
    expect(freshHints(answered)).toEqual([hint])
    expect(freshHints({ ...answered, read: [hintName(hint)] })).toEqual([])
    expect(freshHints(edited(answered, setMark('aroma', 2), NOW))).toEqual([])
  })
})

describe('the outbox', () => {
  test('a finished sheet waits at once, an unfinished one when the taster goes on', () => {
    expect(isWaiting(draft(), CATEGORIES)).toBe(false)
    expect(isWaiting(marked(), CATEGORIES)).toBe(false)
    expect(isWaiting({ ...marked(), left: true }, CATEGORIES)).toBe(true)
    expect(isWaiting(whole(), CATEGORIES)).toBe(true)
  })
  test('a sheet that was sent and then cleared is sent again, so that nothing old stands', () => {
    const sent = settled(marked(), said(1))
    const cleared = { ...edited(sent, setMark('aroma', null), NOW), left: true }
    expect(isWaiting(cleared, CATEGORIES)).toBe(true)
  })
  test('an answer settles its version and no later one', () => {
    const one = whole()
    const two = edited(one, setMark('aroma', 1), NOW)
    expect(standing(settled(one, said(2)), CATEGORIES)).toBe('sent')
    expect(standing(settled(two, said(2)), CATEGORIES)).toBe('waiting')
  })
  test('an answer that comes late does not undo a newer one', () => {
    const two = settled(whole(), said(2))
    expect(settled(two, said(1, 'held'))).toBe(two)
  })
  test.each([
    ['kept', 'sent'],
    ['already', 'sent'],
    ['held', 'look'],
    ['conflict', 'look'],
    ['refused', 'look'],
  ] as const)('%s stands as %s', (state, stands) => {
    expect(standing(settled(whole(), said(2, state)), CATEGORIES)).toBe(stands)
  })
  test('what is sent names every category and says whether it is finished', () => {
    const sent = asSent(marked(), CATEGORIES)
    expect(sent.marks).toEqual({ aroma: 4.5, taste: null })
    expect([sent.complete, asSent(whole(), CATEGORIES).complete]).toEqual([false, true])
  })
  test('parcels hold at most 64 sheets and 200 KB, and lose none', () => {
    const many = Array.from({ length: 150 }, () => asSent(whole(), CATEGORIES))
    expect(parcels(many).map((parcel) => parcel.length)).toEqual([64, 64, 22])
    const long = Array.from({ length: 60 }, () => ({ ...many[0]!, remark: 'é'.repeat(10_000) }))
    const packed = parcels(long)
    expect(packed.flat()).toHaveLength(60)
    for (const parcel of packed) {
      expect(parcel.length).toBeLessThanOrEqual(MOST_ENTRIES)
      expect(Buffer.byteLength(JSON.stringify(parcel))).toBeLessThan(MOST_BYTES + 1_000)
    }
  })
  test('the pause doubles to five minutes, and half of it is chance', () => {
    expect([1, 2, 3, 20].map((failures) => pauseAfter(failures, () => 1))).toEqual([
      2_000, 4_000, 8_000, 300_000,
    ])
    expect(pauseAfter(1, () => 0)).toBe(1_000)
  })
})
