/** What is expected of a learner before the first mark; as `halfpoint.teach.prior`. */

/** A figure with its standard error and the ends of its 95 % interval. */
export interface Estimate {
  value: number
  se: number
  low: number
  high: number
}

/** Severity in points below the panel, spread (1 as the panel), noise of a mark in points. */
export interface Prior {
  severity: number
  severity_sd: number
  spread: number
  spread_sd: number
  noise: number
  freedom: number
}

export const KEPT_TO_NEXT_SESSION = 0.95
export const KEPT_TO_NEXT_YEAR = 0.8
const LEAST_SD = 1e-3

export const holds = (estimate: Estimate, value: number) =>
  estimate.low <= value && value <= estimate.high

/**
 * What was found before, as the prior for now; of each habit a share of `kept` stays.
 *
 * An autoregression of order 1 whose long run is the panel: mean μ + κ (m − μ) and variance
 * κ² se² + (1 − κ²) σ². The noise goes the same way on the log scale, where the variance of a
 * standard deviation with ν degrees of freedom is about 1 / (2 ν).
 */
export function carried(
  panel: Prior,
  found: { severity: Estimate; spread: Estimate; noise: Estimate },
  kept: number,
): Prior {
  const [severity, severity_sd] = towards(panel.severity, panel.severity_sd, found.severity, kept)
  const [spread, spread_sd] = towards(panel.spread, panel.spread_sd, found.spread, kept)
  const spanned = Math.log(found.noise.high / found.noise.low) / (2 * 1.96)
  const unsure = kept ** 2 * spanned ** 2 + (1 - kept ** 2) / (2 * panel.freedom)
  const middle =
    Math.log(panel.noise) + kept * (Math.log(found.noise.value) - Math.log(panel.noise))
  const noise = Math.exp(middle)
  return { severity, severity_sd, spread, spread_sd, noise, freedom: Math.max(2, 1 / (2 * unsure)) }
}

function towards(mean: number, sd: number, found: Estimate, kept: number): [number, number] {
  const variance = kept ** 2 * Math.min(found.se, sd) ** 2 + (1 - kept ** 2) * sd ** 2
  return [mean + kept * (found.value - mean), Math.max(LEAST_SD, Math.sqrt(variance))]
}
