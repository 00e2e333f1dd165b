/** The axis of a chart: a piece of the half-point ruler. */

export interface Axis {
  from: number
  to: number
  /** Ticks with their values; `long` ones are numbered. */
  ticks: { at: number; long: boolean }[]
}

// From steps of a tenth to steps of a hundred, as long as fewer than `most` numbers are written.
const STEPS = [0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100]

/** An axis that holds all values, with at most so many numbers on it and a tick between each. */
export function axisOf(values: number[], most: number): Axis {
  const low = Math.min(...values)
  const high = Math.max(...values)
  const span = Math.max(high - low, 0.2)
  const step = STEPS.find((each) => span / each <= most) ?? 200
  const half = step / 2
  const from = Math.floor(low / half + 1e-9) * half
  const to = Math.ceil(high / half - 1e-9) * half
  const count = Math.round((to - from) / half)
  const ticks = Array.from({ length: count + 1 }, (_, index) => {
    const at = Number((from + index * half).toFixed(6))
    return { at, long: Math.abs(at / step - Math.round(at / step)) < 1e-6 }
  })
  return { from, to: Math.max(to, from + half), ticks }
}
