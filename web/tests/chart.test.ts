import { describe, expect, test } from 'vitest'
import { axisOf } from '../src/desk/found/axis'
import { brackets, joinedWith } from '../src/desk/found/brackets'
import { reach } from '../src/desk/found/quantile'
import { inOrder, likeliest } from '../src/desk/found/ranks'
import type { WineFinding } from '../src/desk/types'
import { count, day, percent, points } from '../src/parts/say'

describe('brackets', () => {
  test('join wines that share a letter, and leave a wine alone that shares none', () => {
    expect(brackets(['a', 'a', 'b', 'b', 'bc', 'cd', 'd', 'e'])).toEqual([
      { letter: 'a', rows: [0, 1], column: 0 },
      { letter: 'b', rows: [2, 3, 4], column: 0 },
      { letter: 'c', rows: [4, 5], column: 1 },
      { letter: 'd', rows: [5, 6], column: 0 },
    ])
  })
  test('never lie over one another in a column', () => {
    const found = brackets(['ab', 'abc', 'bcd', 'cd', 'd'])
    for (const one of found) {
      for (const other of found) {
        if (one === other || one.column !== other.column) continue
        const apart = one.rows.at(-1)! < other.rows[0]! || other.rows.at(-1)! < one.rows[0]!
        expect(apart, `${one.letter} and ${other.letter}`).toBe(true)
      }
    }
  })
  test('leave out a wine between that carries no such letter', () => {
    expect(brackets(['a', 'b', 'a'])).toEqual([{ letter: 'a', rows: [0, 2], column: 0 }])
  })
  test('say in words which wines are joined', () => {
    expect(joinedWith(['a', 'ab', 'b', 'c'])).toEqual([[1], [0, 2], [1], []])
  })
})

describe('half the width of an interval', () => {
  // Quantiles of Student's t at 0.75 and 0.975, from SciPy (`scipy.stats.t.ppf`), four decimals.
  test.each([
    [0.5, 5, 0.7267],
    [0.5, 10, 0.6998],
    [0.5, 30, 0.6828],
    [0.95, 10, 2.2281],
    [0.95, 30, 2.0423],
    [0.95, 120, 1.9799],
  ] as const)('holds %f with %i degrees of freedom', (level, df, expected) => {
    expect(reach(level, df)).toBeCloseTo(expected, 3)
  })
  test('is that of the normal law without degrees of freedom', () => {
    expect(reach(0.95, null)).toBeCloseTo(1.96, 3)
    expect(reach(0.5, Infinity)).toBeCloseTo(0.6745, 4)
  })
})

describe('the axis', () => {
  test('holds every value and numbers whole steps of the ruler', () => {
    const axis = axisOf([12.5, 15.9], 8)
    expect([axis.from, axis.to]).toEqual([12.5, 16])
    expect(axis.ticks.filter(({ long }) => long).map(({ at }) => at)).toEqual([
      12.5, 13, 13.5, 14, 14.5, 15, 15.5, 16,
    ])
  })
  test('stays an axis when all values are the same', () => {
    const axis = axisOf([14, 14], 6)
    expect(axis.to).toBeGreaterThan(axis.from)
  })
})

describe('places', () => {
  const wine = (name: string, adjusted: number | null) => ({ wine: name, adjusted }) as WineFinding
  test('go from the highest score down, those without one last', () => {
    const order = inOrder([wine('b', 12), wine('none', null), wine('a', 15)])
    expect(order.map((each) => each.wine)).toEqual(['a', 'b', 'none'])
  })
  test('name the likeliest', () => {
    expect(likeliest([0.2, 0.7, 0.1])).toEqual({ place: 2, chance: 0.7 })
    expect(likeliest([])).toBeNull()
  })
})

describe('figures', () => {
  test('are written as people of the language write them', () => {
    expect(count(1184, { language: 'en' })).toBe('1,184')
    expect(count(1184, { language: 'de' })).toBe('1.184')
    expect(points(-0.04, { language: 'en' }, 2)).toBe('−0.04')
    expect(points(-0.04, { language: 'de' })).toBe('0,0')
    expect(day('2026-03-06', { language: 'en' })).toContain('2026')
  })
  test('never say nothing or everything when it is not quite so', () => {
    const words = { under: 'under 1 %', over: 'over 99 %' }
    const shares = [0, 0.004, 0.19, 0.996, 1].map((share) => percent(share, words))
    expect(shares).toEqual(['0 %', 'under 1 %', '19 %', 'over 99 %', '100 %'])
  })
})
