/**
 * What the server says, in the language of the person.
 *
 * The server speaks English, and keeps its sentences in the record as it said them. A catalogue
 * has each of them with gaps, `no seat {number} at this site`, and how it is said in another
 * language. What stands in a gap is said in that language too, where it is known; a gap written
 * `{low:n}` takes only a number. With a capital, `{What}`, a word of the score sheet gets back
 * the capital that English takes away within a sentence. `{names}` are several, with `and` or
 * `or` before the last. Names that people gave stay as they are, and so does what no catalogue has.
 */
export type Catalogue = Record<string, string>
export type Telling = (text: string) => string

interface Pattern {
  shape: RegExp
  names: string[]
  said: string
  /** Whether it is several sentences; one sentence never stands for several. */
  several: boolean
}

const GAP = /\{(\w+)(:n)?\}/g
const NUMBER = '[-−]?(?:\\d[\\d.,]*[½¼¾⅓⅔]?|[½¼¾⅓⅔])'
// Where several sentences or parts were joined into one text, each is said by itself.
const JOINTS = [/(\n)/, /(?<=[.?])( )(?=[A-Z])/, /(; )/, /(: )/, /(, )/]
const SEVERAL = /[.?] [A-Z]/
const LONGEST = 2_000
// What stands there was named by people.
const NAMED = new Set(['wine', 'other', 'taster', 'name', 'key', 'title', 'file'])

/** What says a text of the server by this catalogue. */
export function telling(catalogue: Catalogue): Telling {
  // In the language of the server nothing is to be said otherwise, figures neither.
  if (!Object.keys(catalogue).length) return (text) => text
  const { exact, patterns } = compiled(catalogue)
  const known = new Map<string, string>()

  const say: Telling = (text) => {
    if (!text || text.length > LONGEST) return text
    const before = known.get(text)
    if (before !== undefined) return before
    const said = whole(text) ?? parts(text) ?? figure(text)
    if (known.size < LONGEST) known.set(text, said)
    return said
  }

  function whole(text: string): string | null {
    const same = exact.get(text)
    if (same !== undefined) return same
    const several = SEVERAL.test(text)
    for (const { shape, names, said, several: whole } of patterns) {
      if (several && !whole) continue
      const found = shape.exec(text)
      if (found) return filled(said, names, found.slice(1), say)
    }
    return null
  }

  /** A part may begin with its own joint, as `; did you mean …` does. */
  const joined = (joint: string, part: string) => (joint && whole(joint + part)) || joint + say(part)

  function parts(text: string): string | null {
    for (const joint of JOINTS) {
      // Every other one is the joint itself.
      const found = text.split(joint)
      if (found.length < 3 || !found[0]) continue
      return found.reduce((said, part, at) => (at % 2 ? said : said + joined(found[at - 1] ?? '', part)), '')
    }
    return null
  }

  return say
}

function compiled(catalogue: Catalogue): { exact: Map<string, string>; patterns: Pattern[] } {
  const exact = new Map<string, string>()
  const patterns: (Pattern & { letters: number })[] = []
  for (const [english, said] of Object.entries(catalogue)) {
    const gaps = [...english.matchAll(GAP)]
    if (!gaps.length) exact.set(english, said)
    else patterns.push({ ...pattern(english, gaps), said, letters: english.replace(GAP, '').length })
  }
  // What says most by itself goes first.
  patterns.sort((one, other) => other.letters - one.letters)
  return { exact, patterns }
}

function pattern(english: string, gaps: RegExpMatchArray[]): Omit<Pattern, 'said'> {
  const between = english.split(/\{\w+(?::n)?\}/).map((part) => part.replace(/[.*+?^${}()|[\]\\]/g, '\\$&'))
  const shape = between
    .map((part, at) => part + (at < gaps.length ? (gaps[at]?.[2] ? `(${NUMBER})` : '([\\s\\S]*?)') : ''))
    .join('')
  const names = gaps.map(([, name]) => name?.toLowerCase() ?? '')
  return { shape: new RegExp(`^${shape}$`), names, several: SEVERAL.test(english) }
}

function filled(said: string, names: string[], values: string[], say: Telling): string {
  return said.replace(GAP, (gap, name: string) => {
    const value = values[names.indexOf(name.toLowerCase())]
    if (value === undefined) return gap
    if (NAMED.has(name)) return value
    if (name === 'names') return listed(value, say)
    const told = say(value)
    const begins = name !== name.toLowerCase() && told === value
    return begins ? told.charAt(0).toLocaleUpperCase() + told.slice(1) : told
  })
}

/** Names in a row, with `and` or `or` before the last in the language of the person. */
function listed(text: string, say: Telling): string {
  const start = text.lastIndexOf(', ') + 1
  const found = /^(.*?)( and | or )(.*)$/s.exec(text.slice(start))
  if (!found) return text
  const [, before = '', joint = '', last = ''] = found
  return text.slice(0, start) + before + say(joint) + (/^[\w-]+ others$/.test(last) ? say(last) : last)
}

/** 0.5 with a comma, and 1,184 with a point, as in the languages there are besides English. */
function figure(text: string): string {
  if (/^[-−]?\d+\.\d+ ?%?$/.test(text)) return text.replace('.', ',')
  return /^\d{1,3}(,\d{3})+$/.test(text) ? text.replaceAll(',', '.') : text
}
