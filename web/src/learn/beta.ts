/** The incomplete beta function, its inverse, and the binomial tail that follows from it. */
import { logGamma } from './gamma'

const CLOSE = 1e-15
const TINY = 1e-300
const MOST = 10_000

/** Share of the integral of B(a, b) below x. DLMF 8.17.22, by the method of Lentz. */
export function incompleteBeta(a: number, b: number, x: number): number {
  if (x <= 0) return 0
  if (x >= 1) return 1
  const front = Math.exp(
    logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x),
  )
  if (x > (a + 1) / (a + b + 2)) return 1 - (front * fraction(b, a, 1 - x)) / b
  return (front * fraction(a, b, x)) / a
}

function fraction(a: number, b: number, x: number): number {
  let c = 1
  let d = 1 / awayFromZero(1 - ((a + b) * x) / (a + 1))
  let found = d
  for (let m = 1; m < MOST; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m))
    d = 1 / awayFromZero(1 + even * d)
    c = awayFromZero(1 + even / c)
    found *= d * c
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1))
    d = 1 / awayFromZero(1 + odd * d)
    c = awayFromZero(1 + odd / c)
    found *= d * c
    if (Math.abs(d * c - 1) < CLOSE) break
  }
  return found
}

const awayFromZero = (value: number) => (Math.abs(value) < TINY ? TINY : value)

/** The x below which lies this share of the integral of B(a, b). */
export function inverseBeta(a: number, b: number, share: number): number {
  let low = 0
  let high = 1
  while (high - low > Number.EPSILON * Math.max(high, TINY)) {
    const middle = (low + high) / 2
    if (middle <= low || middle >= high) break
    if (incompleteBeta(a, b, middle) < share) low = middle
    else high = middle
  }
  return (low + high) / 2
}

/** P(X ≥ right) of so many answers, each right with this chance. */
export function atLeast(right: number, answers: number, chance: number): number {
  return right <= 0 ? 1 : incompleteBeta(right, answers - right + 1, chance)
}
