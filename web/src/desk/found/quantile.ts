/**
 * Half the width of an interval in standard errors, by Student's t.
 *
 * The expansion of the quantile in 1/df (Abramowitz and Stegun 1964, 26.7.5).
 */
const NORMAL = { 0.5: 0.6744897501960817, 0.95: 1.959963984540054 } as const
export type Level = keyof typeof NORMAL

/** The factor for an interval that holds a share `level`; df null for the normal law. */
export function reach(level: Level, df: number | null): number {
  const x = NORMAL[level]
  if (df === null || !Number.isFinite(df)) return x
  const terms = [
    (x ** 3 + x) / 4,
    (5 * x ** 5 + 16 * x ** 3 + 3 * x) / 96,
    (3 * x ** 7 + 19 * x ** 5 + 17 * x ** 3 - 15 * x) / 384,
    (79 * x ** 9 + 776 * x ** 7 + 1482 * x ** 5 - 1920 * x ** 3 - 945 * x) / 92_160,
  ]
  return terms.reduce((sum, term, index) => sum + term / df ** (index + 1), x)
}
