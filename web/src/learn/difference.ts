/**
 * Triangle and duo-trio tests: what so many right answers say; as `halfpoint.plan.difference`.
 *
 * In a triangle test (ISO 4120) the odd one of three is found by chance 1 time in 3, in a duo-trio
 * test (ISO 10399) the one like the reference 1 time in 2. The number right is binomial.
 */
import { atLeast, inverseBeta } from './beta'

export type Test = 'triangle' | 'duo-trio'
export const CHANCE: Record<Test, number> = { triangle: 1 / 3, 'duo-trio': 1 / 2 }
export const HALF_TELL = 0.5
export const MOST_ANSWERS = 100_000
const MOST_SEARCHED = 8192

/** Fewest right answers that say a difference is there; null if not even all would do. */
export function fewestRight(answers: number, test: Test, alpha = 0.05): number | null {
  // A hair for the rounding of a tail that equals alpha, as 1/2⁵ does 0.03125.
  const bound = alpha * (1 + 1e-12)
  let [low, high] = [1, answers + 1]
  while (low < high) {
    const middle = Math.floor((low + high) / 2)
    if (atLeast(middle, answers, CHANCE[test]) <= bound) high = middle
    else low = middle + 1
  }
  return low <= answers ? low : null
}

/** How often so many answers show a difference that this share of tasters tell; exact. */
export function power(answers: number, share: number, test: Test, alpha = 0.05): number {
  const needed = fewestRight(answers, test, alpha)
  if (needed === null) return 0
  return atLeast(needed, answers, share + (1 - share) * CHANCE[test])
}

export interface Needed {
  answers: number
  right: number
  power: number
}

/** Fewest answers from which on the power is never again below what is asked; null for too many. */
export function needed(share: number, test: Test, alpha = 0.05, wanted = 0.8): Needed | null {
  for (let limit = 64; limit <= MOST_SEARCHED; limit *= 2) {
    let last = 0
    for (let n = 1; n < limit; n++) if (power(n, share, test, alpha) < wanted) last = n
    // Beyond a third more, the saw's teeth do not come down again.
    if (Math.floor((last * 4) / 3) + 8 < limit) {
      const right = fewestRight(last + 1, test, alpha)
      if (right === null) return null
      return { answers: last + 1, right, power: power(last + 1, share, test, alpha) }
    }
  }
  return null
}

/**
 * What right answers say: chance `p` of so many by guessing alone, and the share that truly tells.
 *
 * The share is (right/n − p₀)/(1 − p₀), never below 0, with the interval of Clopper and Pearson
 * (1934), Biometrika 26, 404-413, brought to the same scale.
 */
export interface Judged {
  test: Test
  answers: number
  right: number
  fewest: number | null
  p: number
  share: number
  low: number
  high: number
  power: number
}

export function judge(test: Test, answers: number, right: number): Judged {
  const whole = [answers, right].every(Number.isInteger)
  if (!whole || right < 0 || right > answers || answers < 1 || answers > MOST_ANSWERS) {
    throw new RangeError(`${right} right of ${answers}`)
  }
  const chance = CHANCE[test]
  const least = right ? inverseBeta(right, answers - right + 1, 0.025) : 0
  const most = right < answers ? inverseBeta(right + 1, answers - right, 0.975) : 1
  const telling = (share: number) => Math.max(0, (share - chance) / (1 - chance))
  return {
    test,
    answers,
    right,
    fewest: fewestRight(answers, test),
    p: atLeast(right, answers, chance),
    share: telling(right / answers),
    low: telling(least),
    high: telling(most),
    power: power(answers, HALF_TELL, test),
  }
}
