/** Brackets beside the chart: each joins wines that the marks cannot tell apart. */

export interface Bracket {
  letter: string
  /** Rows of the wines it joins, from the top. */
  rows: number[]
  /** In which column it is drawn, so that no two lie over one another. */
  column: number
}

/**
 * The brackets of wines in the order they are drawn.
 *
 * `letters` are those of each row; wines that share one cannot be told apart. A letter that one
 * wine has alone joins nothing and is not drawn.
 */
export function brackets(letters: string[]): Bracket[] {
  const byLetter = new Map<string, number[]>()
  letters.forEach((text, row) => {
    for (const letter of text) byLetter.set(letter, [...(byLetter.get(letter) ?? []), row])
  })
  const found = [...byLetter]
    .filter(([, rows]) => rows.length > 1)
    .sort(([, a], [, b]) => first(a) - first(b) || last(b) - last(a))
  const ends: number[] = []
  return found.map(([letter, rows]) => {
    const free = ends.findIndex((end) => end < first(rows))
    const column = free < 0 ? ends.length : free
    ends[column] = last(rows)
    return { letter, rows, column }
  })
}

/** What the brackets say: the other rows that each row is joined with. */
export function joinedWith(letters: string[]): number[][] {
  return letters.map((own, row) =>
    letters.flatMap((other, at) => (at !== row && [...own].some((l) => other.includes(l)) ? [at] : [])),
  )
}

const first = (rows: number[]) => rows[0] ?? 0
const last = (rows: number[]) => rows.at(-1) ?? 0
