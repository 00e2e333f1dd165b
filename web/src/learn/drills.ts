/** Triangle and duo-trio drills: what to pour in which order; as `halfpoint.teach.drills`. */
import type { Test } from './difference'
import { shuffled } from './random'

type Glass = 'A' | 'B'

/** Every order equally often; in a duo-trio the first glass is the reference. */
const ORDERS: Record<Test, string[]> = {
  triangle: ['ABB', 'BAB', 'BBA', 'AAB', 'ABA', 'BAA'],
  'duo-trio': ['AAB', 'ABA', 'BAB', 'BBA'],
}
export const MOST_ROUNDS = 60
export const FIRST = 'first'

/** Glasses in serving order: codes, what is in each, and the code that is right. */
export interface Round {
  codes: string[]
  contents: Glass[]
  right: string
}

/** Every order as often as can be, in a random sequence, with random codes. */
export function drawDrill(test: Test, rounds: number): Round[] {
  if (!Number.isInteger(rounds) || rounds < 1 || rounds > MOST_ROUNDS) {
    throw new RangeError(`${rounds} rounds`)
  }
  const orders = ORDERS[test]
  const whole = Array.from({ length: Math.floor(rounds / orders.length) }, () => orders).flat()
  const rest = shuffled(orders).slice(0, rounds % orders.length)
  const codes = shuffled(CODES)
  const glasses = test === 'triangle' ? 3 : 2
  return shuffled([...whole, ...rest]).map((order, at) =>
    roundOf(test, order, codes.slice(at * glasses, (at + 1) * glasses)),
  )
}

function roundOf(test: Test, order: string, codes: string[]): Round {
  const contents = [...order] as Glass[]
  if (test === 'triangle') {
    const odd = contents.findIndex((wine) => contents.filter((other) => other === wine).length === 1)
    return { codes, contents, right: codes[odd]! }
  }
  const like = contents.indexOf(contents[0]!, 1)
  return { codes: [FIRST, ...codes], contents, right: codes[like - 1]! }
}

/** How many glasses of each wine. */
export function poursOf(rounds: Round[]): Record<Glass, number> {
  const all = rounds.flatMap(({ contents }) => contents)
  const count = (wine: Glass) => all.filter((other) => other === wine).length
  return { A: count('A'), B: count('B') }
}

/** Whether a code hints at no order: three different digits, no run up or down, no zero first. */
export function saysNothing(code: string): boolean {
  if (!/^[1-9][0-9]{2}$/.test(code) || new Set(code).size < 3) return false
  const [a, b, c] = [...code].map(Number) as [number, number, number]
  return !(b - a === c - b && Math.abs(b - a) === 1)
}

const CODES = Array.from({ length: 900 }, (_, at) => String(100 + at)).filter(saysNothing)
