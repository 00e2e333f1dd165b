/** Where wines may stand among the others. */
import type { WineFinding } from '../types'

/** Wines from the highest score down; those without a score come last. */
export function inOrder(wines: WineFinding[]): WineFinding[] {
  return [...wines].sort((a, b) => (b.adjusted ?? -Infinity) - (a.adjusted ?? -Infinity))
}

/** The place a wine most likely has, from 1, and how likely that is. */
export function likeliest(probability: number[]): { place: number; chance: number } | null {
  if (!probability.length) return null
  const chance = Math.max(...probability)
  return { place: probability.indexOf(chance) + 1, chance }
}
