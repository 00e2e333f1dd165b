/** The normal distribution, and the chi-square one. */
import { lowerGamma, upperGamma } from './gamma'

/** Φ⁻¹(0.975): how many standard errors an interval of 95 % reaches to either side. */
export const REACH_95 = 1.959963984540054

/** Φ(z): the share below. */
export function belowNormal(z: number): number {
  const half = (z * z) / 2
  return z < 0 ? upperGamma(0.5, half) / 2 : (1 + lowerGamma(0.5, half)) / 2
}

/** The height of the standard normal density. */
export const normalDensity = (z: number) => Math.exp(-0.5 * z * z) / Math.sqrt(2 * Math.PI)

/** The value that chi-square with these degrees of freedom is above with this chance. */
export function chiSquareAbove(freedom: number, chance: number): number {
  const above = (value: number) => upperGamma(freedom / 2, value / 2)
  const below = (value: number) => lowerGamma(freedom / 2, value / 2)
  // The smaller share keeps its digits.
  const isLow = (value: number) =>
    chance < 0.5 ? above(value) > chance : below(value) < 1 - chance
  let high = freedom
  while (isLow(high)) high *= 2
  let low = 0
  while (high - low > 4 * Number.EPSILON * high) {
    const middle = (low + high) / 2
    if (isLow(middle)) low = middle
    else high = middle
  }
  return (low + high) / 2
}
