/** Choices by chance, from the browser's own source for secrets. */

const WORDS = 2 ** 32

/** A whole number from 0 to `below` − 1, each as likely. */
export function drawBelow(below: number): number {
  const most = WORDS - (WORDS % below)
  const word = new Uint32Array(1)
  do crypto.getRandomValues(word)
  while (word[0]! >= most)
  return word[0]! % below
}

/** The same in a random order. Fisher and Yates, as Durstenfeld (1964) wrote it. */
export function shuffled<T>(values: readonly T[]): T[] {
  const mixed = [...values]
  for (let at = mixed.length - 1; at > 0; at--) {
    const other = drawBelow(at + 1)
    ;[mixed[at], mixed[other]] = [mixed[other]!, mixed[at]!]
  }
  return mixed
}
