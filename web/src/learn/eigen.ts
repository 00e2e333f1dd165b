/** Eigenvalues and eigenvectors of a symmetric matrix. */

export interface Eigen {
  /** (n,) */
  roots: Float64Array
  /** (n, n), row by row; column k belongs to root k. */
  vectors: Float64Array
}

const MOST_SWEEPS = 60

/** Jacobi's method of rotations; for the few wines of a session. Golub & Van Loan, section 8.5. */
export function eigen(matrix: Float64Array, n: number): Eigen {
  const a = Float64Array.from(matrix)
  const vectors = new Float64Array(n * n)
  for (let i = 0; i < n; i++) vectors[i * n + i] = 1
  const size = Math.hypot(...a)
  for (let sweep = 0; sweep < MOST_SWEEPS && offDiagonal(a, n) > 1e-15 * size; sweep++) {
    for (let p = 0; p < n - 1; p++) for (let q = p + 1; q < n; q++) rotate(a, vectors, n, p, q)
  }
  const roots = new Float64Array(n)
  for (let i = 0; i < n; i++) roots[i] = a[i * n + i]!
  return { roots, vectors }
}

function offDiagonal(a: Float64Array, n: number): number {
  let sum = 0
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) if (i !== j) sum += a[i * n + j]! ** 2
  return Math.sqrt(sum)
}

function rotate(a: Float64Array, v: Float64Array, n: number, p: number, q: number): void {
  const between = a[p * n + q]!
  if (between === 0) return
  const tau = (a[q * n + q]! - a[p * n + p]!) / (2 * between)
  const t = (tau >= 0 ? 1 : -1) / (Math.abs(tau) + Math.sqrt(1 + tau * tau))
  const cos = 1 / Math.sqrt(1 + t * t)
  const sin = t * cos
  for (let k = 0; k < n; k++) turn(a, k * n + p, k * n + q, cos, sin)
  for (let k = 0; k < n; k++) turn(a, p * n + k, q * n + k, cos, sin)
  for (let k = 0; k < n; k++) turn(v, k * n + p, k * n + q, cos, sin)
}

function turn(a: Float64Array, one: number, other: number, cos: number, sin: number): void {
  const x = a[one]!
  const y = a[other]!
  a[one] = cos * x - sin * y
  a[other] = sin * x + cos * y
}
