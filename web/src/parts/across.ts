/** A scale laid out as a ruler across a picture. */
import { isWhole, markOf, stepsOf, type Scale } from './scale'

// Half a knob at each end.
const MARGIN = 14
// What a number needs beside the next one, and a tick.
const NUMBER = 28
const TICK = 5

export interface Across {
  /** Where a mark lies, in pixels; beyond the ends of the scale it lies at the end. */
  at: (mark: number) => number
  /** The marks that get a number. */
  numbered: number[]
  /** The ruler as one shape, which a phone draws sooner than a line for each tick. */
  shape: string
}

/** How far a tick reaches above and below the ruler, at whole and at other marks. */
export interface Ticks {
  whole: [above: number, below: number]
  other: [above: number, below: number]
}

/** The ruler of a scale in a picture so wide, at height `y`. */
export function across(scale: Scale, width: number, y: number, ticks: Ticks): Across {
  const inner = width - 2 * MARGIN
  const span = scale.top - scale.lowest
  const at = (mark: number) =>
    MARGIN + ((Math.min(scale.top, Math.max(scale.lowest, mark)) - scale.lowest) / span) * inner
  const marks = Array.from({ length: stepsOf(scale) + 1 }, (_, step) => markOf(scale, step))
  const every = Math.max(1, Math.ceil((span * NUMBER) / width))
  const close = inner / stepsOf(scale) < TICK
  const lines = marks
    .filter((mark) => isWhole(mark) || !close)
    .map((mark) => {
      const [above, below] = ticks[isWhole(mark) ? 'whole' : 'other']
      return `M${at(mark)} ${y - above}v${above + below}`
    })
  return {
    at,
    numbered: marks.filter((mark) => isWhole(mark) && (mark - scale.lowest) % every === 0),
    shape: `M${at(scale.lowest)} ${y}H${at(scale.top)}${lines.join('')}`,
  }
}
