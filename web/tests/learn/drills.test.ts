import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { fewestRight, judge, needed, power, type Test } from '../../src/learn/difference'
import { drawDrill, FIRST, poursOf, saysNothing } from '../../src/learn/drills'
import { drawBelow } from '../../src/learn/random'
import { LEARNED, near } from './figures'

const TESTS = ['triangle', 'duo-trio'] as const

describe.each(TESTS)('the %s test', (kind) => {
  const told = LEARNED.drills[kind]
  test('needs as many right answers as the printed table says', () => {
    // Sources: tests/published/data/README.md.
    const file = `../../../tests/published/data/${kind.replace('-', '_')}.csv`
    const [head, ...rows] = readFileSync(new URL(file, import.meta.url), 'utf8').trim().split('\n')
    const levels = head!.split(',').slice(1).map(Number)
    expect(rows.length).toBeGreaterThan(35)
    for (const row of rows) {
      const [answers, ...right] = row.split(',')
      const expected = right.map((each) => (each ? Number(each) : null))
      expect(levels.map((level) => fewestRight(Number(answers), kind, level)), row).toEqual(expected)
    }
  })
  test('has the figures of the command line', () => {
    for (const [n, level, right] of told.fewest) expect(fewestRight(n, kind, level)).toBe(right)
    for (const [n, share, found] of told.power) near(power(n, share, kind), found, 1e-11, `${n} ${share}`)
    for (const [share, found] of told.needed) {
      const mine = needed(share, kind)
      expect([mine?.answers, mine?.right]).toEqual([found?.answers, found?.right])
      near(mine!.power, found!.power, 1e-11)
    }
    for (const [n, right, fewest, ...figures] of told.judged) {
      const mine = judge(kind, n, right)
      expect(mine.fewest).toBe(fewest)
      const found = [mine.p, mine.share, mine.low, mine.high, mine.power]
      found.forEach((each, at) => near(each, figures[at]!, 1e-11, `${right} of ${n}`))
    }
  })
  test('refuses more right answers than there are', () => {
    expect(() => judge(kind, 6, 7)).toThrow(RangeError)
    expect(() => judge(kind, 0, 0)).toThrow(RangeError)
    expect(() => judge(kind, 6, 2.5)).toThrow(RangeError)
  })
})

describe('a drill', () => {
  const odd = (contents: string[]) =>
    contents.findIndex((wine) => contents.filter((other) => other === wine).length === 1)

  test('of a triangle serves every order equally often, the odd glass right', () => {
    const rounds = drawDrill('triangle', 12)
    const orders = rounds.map(({ contents }) => contents.join(''))
    expect(new Set(orders).size).toBe(6)
    for (const order of orders) expect(orders.filter((other) => other === order)).toHaveLength(2)
    for (const { codes, contents, right } of rounds) expect(codes[odd(contents)]).toBe(right)
    expect(poursOf(rounds)).toEqual({ A: 18, B: 18 })
  })
  test('of a duo-trio has the reference first, and the glass like it right', () => {
    const rounds = drawDrill('duo-trio', 8)
    const orders = rounds.map(({ contents }) => contents.join(''))
    expect([...new Set(orders)].sort()).toEqual(['AAB', 'ABA', 'BAB', 'BBA'])
    for (const { codes, contents, right } of rounds) {
      expect(codes[0]).toBe(FIRST)
      expect(contents[codes.indexOf(right)]).toBe(contents[0])
      expect(codes.indexOf(right)).toBeGreaterThan(0)
    }
  })
  test.each(TESTS)('of many rounds gives each glass a code of its own (%s)', (kind: Test) => {
    const codes = drawDrill(kind, 60).flatMap((round) => round.codes).filter((code) => code !== FIRST)
    expect(new Set(codes).size).toBe(codes.length)
    expect(codes.every(saysNothing)).toBe(true)
  })
  test('falls differently each time', () => {
    const drawn = new Set(Array.from({ length: 20 }, () => JSON.stringify(drawDrill('triangle', 6))))
    expect(drawn.size).toBe(20)
  })
  test('is refused without rounds, or with too many', () => {
    for (const rounds of [0, 61, 2.5]) expect(() => drawDrill('triangle', rounds)).toThrow(RangeError)
  })
})

test.each([
  ['483', true], ['484', false], ['345', false], ['987', false], ['048', false], ['531', true],
])('the code %s says nothing: %s', (code, expected) => expect(saysNothing(code)).toBe(expected))

test('every number is drawn about equally often', () => {
  const draws = 60_000
  const counts = new Array<number>(6).fill(0)
  for (let at = 0; at < draws; at++) counts[drawBelow(6)]!++
  const expected = draws / 6
  const square = counts.reduce((sum, each) => sum + (each - expected) ** 2 / expected, 0)
  // Chi-square with 5 degrees of freedom is above 37.7 less often than once in 2 million times.
  expect(square).toBeLessThan(37.7)
})
