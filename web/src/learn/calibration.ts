/**
 * A learner's marks against a panel's: severity, spread, noise, agreement, repeatability.
 *
 *     y = β − s + (t − 1)(β − c) + e,   β = r + error of the reference
 *
 * As `halfpoint.teach.calibration`; both are held to the same figures by tests.
 */
import { gridOf, marginal, type Cells, type Grid } from './grid'
import { REACH_95 } from './normal'
import type { Estimate, Prior } from './prior'
import type { Known } from './reference'

export const FEWEST_WINES = 3
const TAIL = 0.025

/** How a learner marks beside the panel, drawn towards it as far as few marks deserve. */
export interface Calibration {
  /** Points below the panel. */
  severity: Estimate
  /** 1 as the panel. */
  spread: Estimate
  /** Standard deviation of a mark about the learner's own line. */
  noise: Estimate
  /** Correlation with the panel over wines as different as the panel's. */
  agreement: Estimate
  /** Standard deviation of a mark given again; null without second pours. */
  repeatability: Estimate | null
  wines: number
  marks: number
  secondPours: number
  sameMark: boolean
  /** Whether spread, noise and agreement rest on enough to be spoken of. */
  told: boolean
}

/**
 * How a learner marks, from marks of one kind.
 *
 * @param mark points, (n,), at least one, all finite
 * @param wine which wine of `known` each is of, (n,); a wine poured again stands again
 */
export function calibrate(mark: number[], wine: number[], known: Known, prior: Prior): Calibration {
  if (!mark.length || !mark.every(Number.isFinite)) {
    throw new RangeError('marks must be finite, and at least one')
  }
  const cells = cellsOf(mark, wine, known)
  const grid = gridOf(cells, prior)
  const sameMark = mark.length > 1 && mark.every((each) => each === mark[0])
  const wines = cells.mean.length
  return {
    severity: severityOf(grid),
    spread: fromNodes(grid.spread, marginal(grid, 'spread')),
    noise: fromNodes(grid.noise, marginal(grid, 'noise')),
    agreement: agreementOf(grid, known.wine_sd),
    repeatability: cells.repeats ? repeatabilityOf(grid) : null,
    wines,
    marks: mark.length,
    secondPours: cells.repeats,
    sameMark,
    told: wines >= FEWEST_WINES && !sameMark,
  }
}

function cellsOf(mark: number[], wine: number[], known: Known): Cells {
  const met = [...new Set(wine)].sort((a, b) => a - b)
  const marks = met.map((each) => mark.filter((_, at) => wine[at] === each))
  const mean = marks.map((own) => own.reduce((sum, each) => sum + each, 0) / own.length)
  const within = marks.reduce(
    (sum, own, at) => sum + own.reduce((part, each) => part + (each - mean[at]!) ** 2, 0),
    0,
  )
  const covariance = met.flatMap((row) =>
    met.map((column) => known.covariance[row]![column]! + (row === column ? known.bottle_sd ** 2 : 0)),
  )
  return {
    mean: Float64Array.from(mean),
    count: Float64Array.from(marks, (own) => own.length),
    score: Float64Array.from(met, (each) => known.score[each]!),
    covariance: Float64Array.from(covariance),
    centre: known.centre,
    within,
    repeats: mark.length - met.length,
  }
}

/** The level's mixture of normals, turned round: points below the panel. */
function severityOf({ weight, level, variance }: Grid): Estimate {
  let mean = 0
  for (let at = 0; at < weight.length; at++) mean += weight[at]! * level[at]!
  let second = 0
  for (let at = 0; at < weight.length; at++) {
    second += weight[at]! * (variance[at]! + (level[at]! - mean) ** 2)
  }
  const se = Math.sqrt(second)
  return { value: -mean, se, low: -mean - REACH_95 * se, high: -mean + REACH_95 * se }
}

/** What the learner tells apart, over that and noise. */
function agreementOf(grid: Grid, wineSd: number): Estimate {
  const size = grid.spread.length * grid.noise.length
  const weight = new Float64Array(size)
  for (let at = 0; at < grid.weight.length; at++) weight[at % size]! += grid.weight[at]!
  const value = weight.map((_, at) => {
    const told = grid.spread[Math.floor(at / grid.noise.length)]! * wineSd
    return told / Math.hypot(told, grid.noise[at % grid.noise.length]!)
  })
  return fromNodes(value, weight)
}

function repeatabilityOf(grid: Grid): Estimate {
  const [spreads, noises] = [grid.spread.length, grid.noise.length]
  const weight = new Float64Array(grid.own.length * noises)
  grid.weight.forEach((each, at) => {
    weight[Math.floor(at / (spreads * noises)) * noises + (at % noises)]! += each
  })
  const value = weight.map(
    (_, at) => Math.sqrt(grid.own[Math.floor(at / noises)]!) * grid.noise[at % noises]!,
  )
  return fromNodes(value, weight)
}

/** Mean, standard deviation and interval of what takes these values with these chances. */
function fromNodes(value: Float64Array, weight: Float64Array): Estimate {
  const { nodes, chances } = merged(value, weight)
  const mean = nodes.reduce((sum, node, at) => sum + node * chances[at]!, 0)
  const variance = nodes.reduce((sum, node, at) => sum + (node - mean) ** 2 * chances[at]!, 0)
  let sum = 0
  const below = chances.map((chance) => (sum += chance) - chance / 2)
  return {
    value: mean,
    se: Math.sqrt(Math.max(0, variance)),
    low: between(TAIL, below, nodes),
    high: between(1 - TAIL, below, nodes),
  }
}

/** Values in order, equal ones as one. */
function merged(value: Float64Array, weight: Float64Array): { nodes: number[]; chances: number[] } {
  const order = Array.from(value.keys()).sort((a, b) => value[a]! - value[b]!)
  const nodes: number[] = []
  const chances: number[] = []
  for (const at of order) {
    if (nodes.length && nodes.at(-1) === value[at]) chances[chances.length - 1]! += weight[at]!
    else {
      nodes.push(value[at]!)
      chances.push(weight[at]!)
    }
  }
  return { nodes, chances }
}

/** Straight lines between points; beyond the ends the ends. */
function between(at: number, xs: number[], ys: number[]): number {
  const above = xs.findIndex((x) => x >= at)
  if (above === -1) return ys.at(-1)!
  if (above === 0) return ys[0]!
  const [x0, x1, y0, y1] = [xs[above - 1]!, xs[above]!, ys[above - 1]!, ys[above]!]
  return x1 === x0 ? y1 : y0 + ((y1 - y0) * (at - x0)) / (x1 - x0)
}
