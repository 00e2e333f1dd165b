/** Against SciPy (scipy.special), whose values stand in learned.json. */
import { describe, expect, test } from 'vitest'
import { atLeast, incompleteBeta, inverseBeta } from '../../src/learn/beta'
import { eigen } from '../../src/learn/eigen'
import { logGamma, upperGamma } from '../../src/learn/gamma'
import { belowNormal, chiSquareAbove } from '../../src/learn/normal'
import { alike, LEARNED, near } from './figures'

const FUNCTIONS: Record<string, [(...values: number[]) => number, number]> = {
  gammaln: [logGamma, 1e-13],
  'upper gamma': [upperGamma, 1e-13],
  'chi-square': [chiSquareAbove, 1e-11],
  normal: [belowNormal, 1e-14],
  binomial: [(right, answers, chance) => atLeast(right!, answers!, chance!), 1e-11],
  beta: [incompleteBeta, 1e-12],
  'inverse beta': [inverseBeta, 1e-12],
} as Record<string, [(...values: number[]) => number, number]>

describe.each(Object.entries(LEARNED.distributions))('%s', (name, rows) => {
  test('is what SciPy has', () => {
    const [work, tolerance] = FUNCTIONS[name]!
    expect(rows.length).toBeGreaterThan(6)
    for (const row of rows) near(work(...row.slice(0, -1)), row.at(-1)!, tolerance, `${name} ${row}`)
  })
})

test('a small chance keeps its digits', () => {
  const rows = LEARNED.distributions['binomial']!.filter((row) => row[3]! < 1e-3 && row[3]! > 1e-200)
  expect(rows.length).toBeGreaterThan(5)
  for (const [right, answers, chance, p] of rows) alike(atLeast(right!, answers!, chance!), p!, 1e-9, `${right} of ${answers}`)
})

describe('eigenvalues', () => {
  test('rebuild the matrix', () => {
    const n = 9
    const matrix = new Float64Array(n * n)
    for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) matrix[i * n + j] = 1 / (1 + i + j)
    const { roots, vectors } = eigen(matrix, n)
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const parts = Array.from(roots, (root, k) => vectors[i * n + k]! * root * vectors[j * n + k]!)
        near(parts.reduce((sum, each) => sum + each, 0), matrix[i * n + j]!, 1e-14, `${i},${j}`)
      }
    }
  })
  test('of two by two are those of the textbook', () => {
    // Characteristic polynomial: x² − 4x + 3.
    const { roots } = eigen(Float64Array.of(2, 1, 1, 2), 2)
    expect([...roots].sort()).toEqual([expect.closeTo(1, 14), expect.closeTo(3, 14)])
  })
})
