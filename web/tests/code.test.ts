import { expect, test } from 'vitest'
import { asCode, scannedCode, spokenCode } from '../src/taster/code'
import { isWebKit, safetyOf } from '../src/taster/safety.svelte'

test('a code may be typed with blanks, hyphens and small letters', () => {
  expect(asCode(' ctg-vnd ')).toBe('CTGVND')
  expect(spokenCode('CTGVND')).toBe('CTG VND')
})
test.each([
  ['halfpoint:mossgate:mill:1:CTGVND', 'CTGVND'],
  ['halfpoint:::1:CTGVND', 'CTGVND'],
  ['https://tasting.example/join/CTGVND', 'CTGVND'],
  ['https://tasting.example/elsewhere', null],
  ['halfpoint:a:b:1:SHORT', null],
  ['', null],
])('a square that says %s', (text, code) => expect(scannedCode(text)).toBe(code))

test.each([
  [{ persisted: true, standalone: false, webkit: true }, 'promised'],
  [{ persisted: false, standalone: true, webkit: true }, 'installed'],
  [{ persisted: false, standalone: false, webkit: true }, 'seven-days'],
  [{ persisted: false, standalone: false, webkit: false }, 'browser'],
])('how safe unsent marks are: %o', (facts, safety) => expect(safetyOf(facts)).toBe(safety))

test('an iPhone is told apart from Chromium', () => {
  const iphone = 'Mozilla/5.0 (iPhone) AppleWebKit/605.1.15 (KHTML, like Gecko) Safari/604.1'
  const android = 'Mozilla/5.0 (Linux) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130 Safari/537.36'
  expect([isWebKit(iphone), isWebKit(android)]).toEqual([true, false])
})
