/** Figures that the Python package worked out (tools/learned.py). */
import { readFileSync } from 'node:fs'
import { expect } from 'vitest'
import type { Feedback } from '../../src/learn/feedback'
import type { Estimate } from '../../src/learn/prior'

type Numbers = Record<string, unknown>
export interface Practice {
  name: string
  text: string
  told: {
    sessions: { session: string; entries: number; compared: number; found: Record<string, Numbers> }[]
    wines: number
    steadiness: { sd: number; pairs: number } | null
    feedback: (Pick<Feedback, 'wine' | 'total' | 'driver' | 'categories' | 'shared' | 'missed'> & {
      own_alone: string[]
    })[]
    points: { category: string; aspect: string; off: number; unknown: number; sure: boolean }[]
    advice: string[] | null
  }
}
export interface Learned {
  practices: Practice[]
  drills: Record<
    'triangle' | 'duo-trio',
    {
      fewest: [number, number, number | null][]
      power: [number, number, number][]
      needed: [number, { answers: number; right: number; power: number } | null][]
      judged: [number, number, ...(number | null)[]][]
    }
  >
  distributions: Record<string, number[][]>
}

export const LEARNED = JSON.parse(
  readFileSync(new URL('../learned.json', import.meta.url), 'utf8'),
) as Learned

/** Equal to so many parts of one, or of what is expected where that is larger. */
export function near(found: number, expected: number, tolerance: number, what = ''): void {
  const off = Math.abs(found - expected)
  expect(off <= tolerance * Math.max(1, Math.abs(expected)), `${what}: ${found}, not ${expected}`).toBe(true)
}

/** Equal to so many parts of what is expected, however small. */
export function alike(found: number, expected: number, tolerance: number, what = ''): void {
  const off = Math.abs(found - expected)
  expect(off <= tolerance * Math.abs(expected), `${what}: ${found}, not ${expected}`).toBe(true)
}

export function nearEstimate(found: Estimate | null, expected: unknown, tolerance: number, what: string): void {
  if (expected === null) return expect(found, what).toBeNull()
  for (const name of ['value', 'se', 'low', 'high'] as const) {
    near(found?.[name] ?? NaN, (expected as Estimate)[name], tolerance, `${what} ${name}`)
  }
}
