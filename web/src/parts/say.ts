/** Figures as they are written in the language of the person. */

export interface Tongue {
  language: string
}

// Made once for each language and number of digits: making one takes longer than all its use.
const formats = new Map<string, Intl.NumberFormat>()

function format(language: string, digits: number): Intl.NumberFormat {
  const name = `${language} ${digits}`
  const known = formats.get(name)
  if (known) return known
  const ends = { minimumFractionDigits: digits, maximumFractionDigits: digits }
  const made = new Intl.NumberFormat(language, ends)
  formats.set(name, made)
  return made
}

/** 1,184 or 1.184. */
export function count(value: number, tongue: Tongue): string {
  return format(tongue.language, 0).format(value)
}

/** Points with a decimal: 15.6, −0.4. */
export function points(value: number, tongue: Tongue, digits = 1): string {
  const rounded = Number(value.toFixed(digits))
  const text = format(tongue.language, digits).format(Math.abs(rounded))
  return rounded < 0 ? `−${text}` : text
}

/** A share as whole per cents; what is not quite nothing or everything says so. */
export function percent(share: number, words: { under: string; over: string }): string {
  if (share > 0 && share < 0.01) return words.under
  if (share < 1 && share > 0.99) return words.over
  return `${Math.round(share * 100)} %`
}

/** Day and time, or the time alone when it is today. */
export function moment(iso: string, tongue: Tongue, now = new Date()): string {
  const then = new Date(iso)
  if (Number.isNaN(then.getTime())) return iso
  const today = then.toDateString() === now.toDateString()
  return then.toLocaleString(tongue.language, {
    ...(today ? {} : { day: 'numeric', month: 'short' }),
    hour: '2-digit',
    minute: '2-digit',
  })
}

const dates = new Map<string, Intl.DateTimeFormat>()

/** A day as people write it. */
export function day(iso: string, { language }: Tongue): string {
  const then = new Date(iso.length === 10 ? `${iso}T12:00` : iso)
  if (Number.isNaN(then.getTime())) return iso
  const made =
    dates.get(language) ??
    new Intl.DateTimeFormat(language, { day: 'numeric', month: 'long', year: 'numeric' })
  dates.set(language, made)
  return made.format(then)
}

const lists = new Map<string, Intl.ListFormat>()

/** Several words as one part of a sentence: `hay, lemon and flint`. */
export function listed(words: string[], { language }: Tongue): string {
  const made = lists.get(language) ?? new Intl.ListFormat(language)
  lists.set(language, made)
  return made.format(words)
}

/** Words as a sentence: a capital first, and a stop at the end. */
export function asSentence(text: string): string {
  return text.charAt(0).toLocaleUpperCase() + text.slice(1) + (/[.…?]$/.test(text) ? '' : '.')
}
