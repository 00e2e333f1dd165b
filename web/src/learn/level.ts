/**
 * How likely the marks are for each spread and noise, and the learner's level given them.
 *
 * Means of a wine's marks are scaled by their own variance and turned so that the covariance of
 * the reference is diagonal: then every spread and noise is one line of arithmetic.
 */
import { eigen } from './eigen'
import type { Cells } from './grid'

/** A learner's level before the marks: normal, in points above the panel. */
export interface Level {
  expected: number
  sd: number
}

/** Over (spread, noise), row by row: log likelihood, and mean and variance of the level. */
export interface Given {
  logs: Float64Array
  mean: Float64Array
  variance: Float64Array
}

// A product of so many numbers is as safe from overflow as one logarithm each is slow.
const AT_ONCE = 16

/** For each expected level, what the marks say; `share` of the noise is one's own unsteadiness. */
export function given(
  cells: Cells,
  levels: Level[],
  share: number,
  spread: Float64Array,
  variance: Float64Array,
): Given[] {
  const turned = turn(cells, share)
  const size = spread.length * variance.length
  const found = levels.map(() => ({
    logs: new Float64Array(size),
    mean: new Float64Array(size),
    variance: new Float64Array(size),
  }))
  const left = new Float64Array(turned.roots.length)
  const apart = variance.map((noise) => ownNoise(cells, share * noise) - turned.logScale)
  for (let row = 0; row < spread.length; row++) {
    const stretched = spread[row]!
    for (let k = 0; k < left.length; k++) {
      left[k] = turned.off[k]! - (stretched - 1) * turned.slope[k]!
    }
    for (let column = 0; column < variance.length; column++) {
      sum(turned, left, stretched ** 2, variance[column]!)
      for (let kind = 0; kind < levels.length; kind++) {
        take(found[kind]!, row * variance.length + column, levels[kind]!, apart[column]!)
      }
    }
  }
  return found
}

/** Sums of 1/e, r/e and r²/e, with e the variances and r what is left, and log |e|. */
const sums = { ones: 0, cross: 0, squares: 0, logs: 0 }

function sum(turned: Turned, left: Float64Array, stretch: number, noise: number): void {
  const { roots, one } = turned
  let ones = 0
  let cross = 0
  let squares = 0
  let logs = 0
  let product = 1
  for (let k = 0; k < roots.length; k++) {
    const each = stretch * roots[k]! + noise
    const scaled = one[k]! / each
    ones += scaled * one[k]!
    cross += scaled * left[k]!
    squares += (left[k]! * left[k]!) / each
    product *= each
    if (k % AT_ONCE === AT_ONCE - 1) {
      logs += Math.log(product)
      product = 1
    }
  }
  sums.ones = ones
  sums.cross = cross
  sums.squares = squares
  sums.logs = logs + Math.log(product)
}

function take(into: Given, at: number, level: Level, apart: number): void {
  const before = 1 / level.sd ** 2
  const precision = before + sums.ones
  const mean = (level.expected * before + sums.cross) / precision
  // Σ (r − m o)² / e, written out.
  const away = sums.squares - 2 * mean * sums.cross + mean * mean * sums.ones
  const squares = Math.max(0, away) + ((mean - level.expected) / level.sd) ** 2
  into.logs[at] = -0.5 * (squares + sums.logs + Math.log(precision)) + apart
  into.mean[at] = mean
  into.variance[at] = 1 / precision
}

/** What second pours say of one's own noise variance. */
function ownNoise(cells: Cells, own: number): number {
  if (!cells.repeats) return 0
  return -0.5 * (cells.repeats * Math.log(own) + cells.within / own)
}

interface Turned {
  /** Variances of the reference, none below zero. */
  roots: Float64Array
  /** Marks less the reference, ones, and the reference about its centre. */
  off: Float64Array
  one: Float64Array
  slope: Float64Array
  logScale: number
}

function turn(cells: Cells, share: number): Turned {
  const n = cells.mean.length
  const scale = cells.count.map((count) => Math.sqrt(1 - share + share / count))
  const scaled = cells.covariance.map(
    (each, at) => each / (scale[Math.floor(at / n)]! * scale[at % n]!),
  )
  const { roots, vectors } = eigen(scaled, n)
  const turned = (value: (wine: number) => number) =>
    Float64Array.from({ length: n }, (_, k) => {
      let sum = 0
      for (let i = 0; i < n; i++) sum += (vectors[i * n + k]! * value(i)) / scale[i]!
      return sum
    })
  return {
    roots: roots.map((root) => Math.max(0, root)),
    off: turned((i) => cells.mean[i]! - cells.score[i]!),
    one: turned(() => 1),
    slope: turned((i) => cells.score[i]! - cells.centre),
    logScale: scale.reduce((sum, each) => sum + Math.log(each), 0),
  }
}
