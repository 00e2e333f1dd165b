/** A category's marks as steps, and how a mark is written and spoken. */
import type { SharedWords } from '../words/en/shared'

export interface Scale {
  lowest: number
  top: number
  step: number
}

const FRACTIONS: [number, string][] = [
  [1 / 4, '¼'],
  [1 / 3, '⅓'],
  [1 / 2, '½'],
  [2 / 3, '⅔'],
  [3 / 4, '¾'],
]
const NEAR = 1e-6

/** How many steps lie between the lowest and the top mark. */
export function stepsOf(scale: Scale): number {
  return Math.max(1, Math.round((scale.top - scale.lowest) / scale.step))
}

/** The mark of a step, free of the dust of binary fractions; steps beyond the ends are the ends. */
export function markOf(scale: Scale, step: number): number {
  const within = Math.min(stepsOf(scale), Math.max(0, step))
  return Number((scale.lowest + within * scale.step).toFixed(9))
}

/** The step nearest to a mark. */
export function stepOf(scale: Scale, mark: number): number {
  const step = Math.round((mark - scale.lowest) / scale.step)
  return Math.min(stepsOf(scale), Math.max(0, step))
}

/** Whether a mark lies on a step of the scale. */
export function isOn(scale: Scale, mark: number): boolean {
  return Math.abs(markOf(scale, stepOf(scale, mark)) - mark) < NEAR
}

/** Whether a mark is a whole number of points: a long tick. */
export function isWhole(mark: number): boolean {
  return Math.abs(mark - Math.round(mark)) < NEAR
}

/** A mark as it is written: 4½, ½, 12, 7.2 (or 7,2). */
export function written(mark: number, decimal = '.'): string {
  const size = Math.abs(mark)
  const whole = Math.floor(size + NEAR)
  const rest = size - whole
  const sign = mark < -NEAR ? '−' : ''
  if (rest < NEAR) return `${sign}${whole}`
  const fraction = FRACTIONS.find(([value]) => Math.abs(value - rest) < NEAR * 10)?.[1]
  if (fraction) return `${sign}${whole || ''}${fraction}`
  return `${sign}${Number(size.toFixed(2))}`.replace('.', decimal)
}

/** A mark as people say it: "four and a half". */
export function spoken(mark: number, words: SharedWords): string {
  const whole = Math.floor(mark + NEAR)
  const rest = mark - whole
  const name = words.numbers[whole]
  if (name === undefined || (rest > NEAR && Math.abs(rest - 0.5) > NEAR)) {
    return written(mark, words.decimal)
  }
  if (rest <= NEAR) return name
  return whole === 0 ? words.half : words.andAHalf(name)
}

/**
 * The steps in rows, so that none is narrower than `least` pixels; where it can be, a row
 * begins with a whole mark.
 */
export function rowsOf(scale: Scale, width: number, least = 24): number[][] {
  const ticks = stepsOf(scale) + 1
  const most = Math.max(2, Math.floor(width / least))
  if (ticks <= most) return [range(0, ticks)]
  const perWhole = Math.max(1, Math.round(1 / scale.step))
  const even = Math.ceil(ticks / Math.ceil(ticks / most))
  const rounded = Math.ceil(even / perWhole) * perWhole
  const size = rounded <= most ? rounded : Math.max(perWhole, most - (most % perWhole)) || most
  const fits = Math.min(size, most)
  const rows: number[][] = []
  for (let first = 0; first < ticks; first += fits) {
    rows.push(range(first, Math.min(ticks, first + fits)))
  }
  // A last row of a single step joins the row before when there is room.
  const last = rows.at(-1)
  const before = rows.at(-2)
  if (last?.length === 1 && before && before.length < most) {
    before.push(...last)
    rows.pop()
  }
  return rows
}

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from }, (_, index) => from + index)
}

/** The weighted sum of the marks that are there. */
export function totalOf(
  categories: { key: string; weight: number }[],
  marks: Record<string, number | null | undefined>,
): number {
  const sum = categories.reduce((sum, each) => sum + each.weight * (marks[each.key] ?? 0), 0)
  return Number(sum.toFixed(6))
}
