/**
 * The tasting as a form: the same tables and values as in its file.
 *
 * Every change gives a new form; what a field is called, and what it takes, is data.
 */
import type { Problem } from '../types'

export type Value = string | number | boolean | string[] | null | undefined
export type Row = Record<string, Value>
export type Form = Record<string, Row | Row[] | undefined>
export type TableName = 'wine' | 'site' | 'taster'
export type SingleName = 'tasting' | 'plan'

export type Kind = 'text' | 'whole' | 'number' | 'day' | 'choice' | 'yes' | 'list' | 'clock'
export interface Field {
  key: string
  kind: Kind
  /** Values of a choice; the words for them are in the words of the desk. */
  options?: readonly string[]
  /** A list or choice of keys of this table. */
  of?: TableName
  wide?: boolean
}

const STYLES = ['sparkling', 'white', 'rose', 'orange', 'red', 'sweet', 'fortified'] as const
const SWEETNESS = ['dry', 'off-dry', 'medium', 'sweet'] as const

export const FIELDS = {
  tasting: [
    { key: 'title', kind: 'text', wide: true },
    { key: 'key', kind: 'text' },
    { key: 'sheet', kind: 'text' },
    { key: 'opens', kind: 'day' },
    { key: 'closes', kind: 'day' },
    { key: 'currency', kind: 'text' },
    { key: 'invented', kind: 'yes' },
  ],
  wine: [
    { key: 'name', kind: 'text', wide: true },
    { key: 'key', kind: 'text' },
    { key: 'style', kind: 'choice', options: STYLES },
    { key: 'grape', kind: 'text' },
    { key: 'vintage', kind: 'whole' },
    { key: 'alcohol', kind: 'number' },
    { key: 'sweetness', kind: 'choice', options: SWEETNESS },
    { key: 'price', kind: 'number' },
    { key: 'bottles', kind: 'whole' },
  ],
  site: [
    { key: 'name', kind: 'text', wide: true },
    { key: 'key', kind: 'text' },
    { key: 'host', kind: 'text' },
    { key: 'place', kind: 'text' },
    { key: 'seats', kind: 'whole' },
    { key: 'capacity', kind: 'whole' },
    { key: 'pinned', kind: 'list', of: 'wine' },
    { key: 'missing', kind: 'list', of: 'wine' },
  ],
  taster: [
    { key: 'name', kind: 'text', wide: true },
    { key: 'key', kind: 'text' },
    { key: 'site', kind: 'choice', of: 'site' },
    { key: 'consent', kind: 'yes' },
    { key: 'letter', kind: 'yes' },
  ],
  plan: [
    { key: 'orders', kind: 'choice', options: ['taster', 'table', 'site'] },
    { key: 'seats', kind: 'whole' },
    { key: 'table_seats', kind: 'whole' },
    { key: 'capacity', kind: 'whole' },
    { key: 'flight', kind: 'whole' },
    { key: 'second_pours', kind: 'whole' },
    { key: 'starts', kind: 'clock' },
    { key: 'pour_minutes', kind: 'whole' },
    { key: 'break_minutes', kind: 'whole' },
    { key: 'pour_ml', kind: 'number' },
    { key: 'bottle_ml', kind: 'number' },
    { key: 'loss_percent', kind: 'number' },
    { key: 'spare_every', kind: 'whole' },
    { key: 'style_blocks', kind: 'yes' },
    { key: 'pinned', kind: 'list', of: 'wine' },
  ],
} as const satisfies Record<TableName | SingleName, readonly Field[]>

export const rowsOf = (form: Form, table: TableName): Row[] => {
  const rows = form[table]
  return Array.isArray(rows) ? rows : []
}

export const singleOf = (form: Form, table: SingleName): Row => {
  const row = form[table]
  return row && !Array.isArray(row) ? row : {}
}

/** The form with a value in a single table; an empty one is taken out. */
export function setSingle(form: Form, table: SingleName, key: string, value: Value): Form {
  return { ...form, [table]: without({ ...singleOf(form, table), [key]: value }, key) }
}

/** The form with a value in a row. A key that followed from the name goes on following it. */
export function setInRow(form: Form, table: TableName, at: number, key: string, value: Value): Form {
  const rows = rowsOf(form, table)
  const before = rows[at] ?? {}
  const changed = without({ ...before, [key]: value }, key)
  if (key === 'name' && (before['key'] ?? '') === keyFrom(before['name'])) {
    changed['key'] = keyFrom(value)
    return renamed({ ...form, [table]: replaced(rows, at, changed) }, table, before, changed)
  }
  const next = { ...form, [table]: replaced(rows, at, changed) }
  return key === 'key' ? renamed(next, table, before, changed) : next
}

export const addRow = (form: Form, table: TableName): Form => ({
  ...form,
  [table]: [...rowsOf(form, table), { key: '', name: '' }],
})

export const removeRow = (form: Form, table: TableName, at: number): Form => ({
  ...form,
  [table]: rowsOf(form, table).filter((_, index) => index !== at),
})

/** A short name from a long one: `Old Mill, Aldermire` gives `old-mill-aldermire`. */
export function keyFrom(name: Value): string {
  return String(name ?? '')
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/ß/g, 'ss')
    .replace(/[^\p{L}\p{N}]+/gu, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40)
}

/** What was typed as the value of a field; text that is no number stays, and is shown as wanting. */
export function typed(kind: Kind, text: string): Value {
  const plain = text.trim()
  if (kind === 'whole' || kind === 'number') {
    if (plain === '') return undefined
    const number = Number(plain.replace(',', '.').replace('½', '.5'))
    return Number.isFinite(number) ? number : plain
  }
  if (kind === 'list') {
    const parts = plain.split(',').map((part) => part.trim())
    return parts.filter(Boolean).length ? parts.filter(Boolean) : undefined
  }
  return text === '' ? undefined : text
}

/** How a value stands in its field. */
export function shownIn(value: Value): string {
  return Array.isArray(value) ? value.join(', ') : value === null || value === undefined ? '' : String(value)
}

/** Where a problem belongs: a field of a row or table; all that is not found is of the whole. */
export interface At {
  table: string
  /** From 0; null for a single table. */
  row: number | null
  key: string
}

const IN_ROW = /^(?:the )?(\w+) (\d+)\b/
const KEY = /\bkey ([\w.-]+)/
const TABLE = /^\[?(?:the )?(?:table )?(\w+)\]?/

export function placeOf(problem: Problem): At {
  const key = KEY.exec(problem.where)?.[1]?.split('.')[0] ?? ''
  const row = IN_ROW.exec(problem.where)
  if (row) return { table: row[1] ?? '', row: Number(row[2]) - 1, key }
  return { table: TABLE.exec(problem.where)?.[1] ?? '', row: null, key }
}

/** Problems of one field, or with key '' of a whole row. */
export function problemsAt(
  problems: Problem[],
  table: string,
  row: number | null,
  key: string,
): Problem[] {
  return problems.filter((problem) => {
    const at = placeOf(problem)
    return at.table === table && at.row === row && at.key === key
  })
}

function without(row: Row, key: string): Row {
  const value = row[key]
  if (value !== undefined && value !== null) return row
  return Object.fromEntries(Object.entries(row).filter(([name]) => name !== key))
}

function replaced(rows: Row[], at: number, row: Row): Row[] {
  return rows.map((each, index) => (index === at ? row : each))
}

/** Whatever points to a row by its key follows it when the key changes. */
function renamed(form: Form, table: TableName, before: Row, after: Row): Form {
  const old = before['key']
  const now = after['key']
  if (typeof old !== 'string' || typeof now !== 'string' || !old || old === now) return form
  if (rowsOf(form, table).some((row) => row !== after && row['key'] === old)) return form
  const follow = (value: Value): Value =>
    Array.isArray(value) ? value.map((key) => (key === old ? now : key)) : value === old ? now : value
  const next: Form = { ...form }
  for (const [name, fields] of Object.entries(FIELDS) as [TableName | SingleName, readonly Field[]][]) {
    const pointing = fields.filter((field) => field.of === table).map((field) => field.key)
    const content = form[name]
    if (!pointing.length || !content) continue
    const change = (row: Row): Row =>
      Object.fromEntries(
        Object.entries(row).map(([key, value]) => [key, pointing.includes(key) ? follow(value) : value]),
      )
    next[name] = Array.isArray(content) ? content.map(change) : change(content)
  }
  return next
}
