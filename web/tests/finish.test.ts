import { expect, test } from 'vitest'
import { bandOf, rulerTop, secondsSince } from '../src/taster/finish'

const BANDS = [
  { label: 'short', low: 0, high: 30 },
  { label: 'medium', low: 30, high: 40 },
  { label: 'long', low: 40, high: null },
]

test.each([
  [0, 'short'],
  [29, 'short'],
  [30, 'medium'],
  [40, 'long'],
  [600, 'long'],
])('%i seconds are %s', (seconds, label) => expect(bandOf(BANDS, seconds)?.label).toBe(label))

test('a sheet without bands has no word for a finish', () => {
  expect(bandOf([], 12)).toBe(null)
  expect(bandOf([{ label: 'long', low: 40, high: null }], 12)).toBe(null)
})
test('a clock that was set back gives no negative time, a forgotten watch ten minutes', () => {
  expect(secondsSince(10_000, 2_000)).toBe(0)
  expect(secondsSince(0, 12_400)).toBe(12)
  expect(secondsSince(0, 86_400_000)).toBe(600)
})
test('the ruler goes beyond the last border', () => {
  expect(rulerTop(BANDS)).toBe(60)
  expect(rulerTop([])).toBe(20)
})
