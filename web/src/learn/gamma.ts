/** The gamma function and the two halves of its integral. */

// Lanczos's series with g = 7 and nine terms; coefficients as Godfrey published them.
const LANCZOS = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313,
  -176.61502916214059, 12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6,
  1.5056327351493116e-7,
]
const CLOSE = 1e-15
const TINY = 1e-300
const MOST = 10_000

/** log Γ(x) for x above zero. Lanczos (1964), SIAM J. Numer. Anal. B 1, 86-96. */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x)
  const shifted = x - 1
  const base = shifted + 7.5
  const series = LANCZOS.reduce((sum, each, at) => (at === 0 ? each : sum + each / (shifted + at)), 0)
  return 0.5 * Math.log(2 * Math.PI) + (shifted + 0.5) * Math.log(base) - base + Math.log(series)
}

/** Share of the integral of Γ(a) below x; its upper half is `upperGamma`. */
export function lowerGamma(a: number, x: number): number {
  if (x <= 0) return 0
  return x < a + 1 ? series(a, x) : 1 - fraction(a, x)
}

/** Share of the integral of Γ(a) above x. */
export function upperGamma(a: number, x: number): number {
  if (x <= 0) return 1
  return x < a + 1 ? 1 - series(a, x) : fraction(a, x)
}

const front = (a: number, x: number) => Math.exp(a * Math.log(x) - x - logGamma(a))

// DLMF 8.11.4.
function series(a: number, x: number): number {
  let term = 1 / a
  let sum = term
  for (let n = 1; n < MOST && term > sum * CLOSE; n++) {
    term *= x / (a + n)
    sum += term
  }
  return sum * front(a, x)
}

// DLMF 8.9.2, by the method of Lentz.
function fraction(a: number, x: number): number {
  let b = x + 1 - a
  let c = 1 / TINY
  let d = 1 / b
  let found = d
  for (let n = 1; n < MOST; n++) {
    const top = -n * (n - a)
    b += 2
    d = 1 / (awayFromZero(top * d + b))
    c = awayFromZero(b + top / c)
    found *= c * d
    if (Math.abs(c * d - 1) < CLOSE) break
  }
  return found * front(a, x)
}

const awayFromZero = (value: number) => (Math.abs(value) < TINY ? TINY : value)
