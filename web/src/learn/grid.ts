/**
 * A learner's chances over spread, noise and unsteadiness, severity gone in closed form.
 *
 * As `halfpoint.teach.calibration`: the mixed assessor model of Brockhoff, Schlich and Skovgaard
 * (2015), one assessor against given products, with an uncertain reference (Fuller 1987,
 * section 1.3). First over all that can be, then over all that is left.
 */
import { logGamma } from './gamma'
import { given, type Level } from './level'
import { chiSquareAbove } from './normal'
import type { Prior } from './prior'

/** Marks by wine: wines that were met only. */
export interface Cells {
  /** (wines,): mean of each wine's marks, how many, and the reference. */
  mean: Float64Array
  count: Float64Array
  score: Float64Array
  /** (wines, wines), row by row, with the bottle's variance. */
  covariance: Float64Array
  centre: number
  /** Squares about the wines' means, and from how many second pours. */
  within: number
  repeats: number
}

/** Chances over (own, spread, noise), `own` once for learners like the panel and once unlike. */
export interface Grid {
  own: Float64Array
  spread: Float64Array
  noise: Float64Array
  /** (own, spread, noise), and the learner's level given each. */
  weight: Float64Array
  level: Float64Array
  variance: Float64Array
}

const WIDE_NODES = 61
const NODES = 31
const OWN_NODES = 6
const WIDE_REACH = 12
const REACH = 6
const TAILS = 4
// One learner in two may be unlike anybody on the panel.
const UNLIKE = 0.5
const UNLIKE_SEVERITY = 3
const UNLIKE_FREEDOM = 3
const RARE = 1e-5
const NOTHING = -60
const ALIKE = [
  { share: 1 - UNLIKE, times: 1 },
  { share: UNLIKE, times: UNLIKE_SEVERITY },
]

export function gridOf(cells: Cells, prior: Prior): Grid {
  const reach = prior.spread_sd * WIDE_REACH
  const spread = evenly(prior.spread - reach, prior.spread + reach, WIDE_NODES)
  const first = weighed(cells, prior, Float64Array.of(0.5), spread, allNoises(cells, prior))
  // Without second pours the share that is one's own unsteadiness does not matter.
  const own = cells.repeats
    ? Float64Array.from({ length: OWN_NODES }, (_, at) => (at + 0.5) / OWN_NODES)
    : Float64Array.of(0.5)
  const noise = closer(first.noise.map(Math.log), marginal(first, 'noise')).map(Math.exp)
  const variance = noise.map((sd) => sd * sd)
  return weighed(cells, prior, own, closer(spread, marginal(first, 'spread')), variance)
}

/** Chances of each node of one of the three, summed over the others. */
export function marginal(grid: Grid, of: 'own' | 'spread' | 'noise'): Float64Array {
  const [owns, spreads, noises] = [grid.own.length, grid.spread.length, grid.noise.length]
  const found = new Float64Array(grid[of].length)
  let at = 0
  for (let i = 0; i < owns; i++) {
    for (let j = 0; j < spreads; j++) {
      for (let k = 0; k < noises; k++) {
        found[of === 'own' ? i : of === 'spread' ? j : k]! += grid.weight[at++]!
      }
    }
  }
  return found
}

function evenly(from: number, to: number, count: number): Float64Array {
  return Float64Array.from({ length: count }, (_, at) => from + ((to - from) * at) / (count - 1))
}

/** Nodes where the chances are, no further from each other than they were. */
function closer(nodes: Float64Array, chance: Float64Array): Float64Array {
  const mean = nodes.reduce((sum, node, at) => sum + node * chance[at]!, 0)
  const variance = nodes.reduce((sum, node, at) => sum + (node - mean) ** 2 * chance[at]!, 0)
  const reach = REACH * Math.max(Math.sqrt(variance), (nodes[1]! - nodes[0]!) / 2)
  return evenly(mean - reach, mean + reach, NODES)
}

/** Variances from steadier than any to far noisier than the marks can bear. */
function allNoises(cells: Cells, prior: Prior): Float64Array {
  const marks = cells.count.reduce((sum, each) => sum + each, 0)
  const off = cells.mean.reduce(
    (sum, mean, at) => sum + cells.count[at]! * (mean - cells.score[at]! + prior.severity) ** 2,
    0,
  )
  const scale = prior.freedom * prior.noise ** 2
  const least = Math.min(prior.freedom, UNLIKE_FREEDOM)
  const lowest = ((least / prior.freedom) * scale) / chiSquareAbove(least + marks, RARE)
  const highest = (scale + 2 * (off + cells.within)) / chiSquareAbove(least + marks, 1 - RARE)
  return evenly(Math.log(lowest), Math.log(highest), WIDE_NODES).map(Math.exp)
}

function weighed(
  cells: Cells,
  prior: Prior,
  own: Float64Array,
  spread: Float64Array,
  variance: Float64Array,
): Grid {
  const before = chancesBefore(prior, spread, variance)
  const size = before.length
  const weight = new Float64Array(ALIKE.length * own.length * size)
  const level = new Float64Array(weight.length)
  const levelVariance = new Float64Array(weight.length)
  const severities: Level[] = ALIKE.map(({ times }) => ({
    expected: -prior.severity,
    sd: times * prior.severity_sd,
  }))
  own.forEach((share, at) => {
    given(cells, severities, share, spread, variance).forEach((part, kind) => {
      const { share: chance, times } = ALIKE[kind]!
      const start = (kind * own.length + at) * size
      const alike = Math.log(chance / times)
      for (let node = 0; node < size; node++) {
        weight[start + node] = part.logs[node]! + before[node]! + alike
      }
      level.set(part.mean, start)
      levelVariance.set(part.variance, start)
    })
  })
  normalise(weight)
  const twice = Float64Array.from([...own, ...own])
  return { own: twice, spread, noise: variance.map(Math.sqrt), weight, level, variance: levelVariance }
}

/** Log chances of (spread, noise) before any mark. */
function chancesBefore(prior: Prior, spread: Float64Array, variance: Float64Array): Float64Array {
  const noises = variance.map((each) => noiseBefore(Math.log(each / prior.noise ** 2), prior.freedom))
  const spreads = spread.map((each) => {
    const away = ((each - prior.spread) / prior.spread_sd) ** 2
    return (-(TAILS + 1) / 2) * Math.log1p(away / TAILS)
  })
  const found = new Float64Array(spreads.length * noises.length)
  let at = 0
  for (let row = 0; row < spreads.length; row++) {
    for (let column = 0; column < noises.length; column++) found[at++] = spreads[row]! + noises[column]!
  }
  return found
}

/** Log density of log (v / usual v): most learners as the panel, some unlike anybody there. */
function noiseBefore(relative: number, freedom: number): number {
  const [one, other] = [
    { share: 1 - UNLIKE, degrees: freedom },
    { share: UNLIKE, degrees: Math.min(freedom, UNLIKE_FREEDOM) },
  ].map(({ share, degrees }) => {
    const half = degrees / 2
    const level = half * Math.log(half) - logGamma(half) + Math.log(share)
    return level - half * (relative + Math.exp(-relative))
  }) as [number, number]
  return Math.max(one, other) + Math.log1p(Math.exp(-Math.abs(one - other)))
}

function normalise(logs: Float64Array): void {
  let most = -Infinity
  for (let at = 0; at < logs.length; at++) if (logs[at]! > most) most = logs[at]!
  let sum = 0
  for (let at = 0; at < logs.length; at++) {
    // What is below 1 in 10²⁶ of the most is nothing.
    const away = logs[at]! - most
    sum += logs[at] = away < NOTHING ? 0 : Math.exp(away)
  }
  for (let at = 0; at < logs.length; at++) logs[at]! /= sum
}
