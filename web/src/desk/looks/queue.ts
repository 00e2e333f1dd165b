/**
 * The queue of what needs a look: one after another, one key a decision.
 *
 * Pure: what is shown, decided and wanted next. Sending is the page's.
 */
import type { LookDecision, LookItem } from '../types'

export interface Done {
  item: LookItem
  decision: LookDecision
  /** How it was decided, in words. */
  said: string
  state: 'sending' | 'kept' | 'refused'
  /** It was decided before, and this goes over that decision. */
  anew: boolean
}

export interface Queue {
  items: LookItem[]
  /** What was decided here, newest last. */
  done: Done[]
  /** Left for later, by id: they are shown again after all others. */
  skipped: string[]
  /** One that was decided and is being decided anew. */
  again: LookItem | null
}

export const EMPTY: Queue = { items: [], done: [], skipped: [], again: null }

/** The one that is shown now. */
export function current(queue: Queue): LookItem | null {
  if (queue.again) return queue.again
  const open = queue.items.filter((item) => !queue.skipped.includes(item.id))
  return open[0] ?? queue.items[0] ?? null
}

/** Those that come after it, whose pictures are fetched already. */
export function upcoming(queue: Queue, count: number): LookItem[] {
  const now = current(queue)
  return queue.items
    .filter((item) => item.id !== now?.id && !queue.skipped.includes(item.id))
    .slice(0, count)
}

/** More of the list as it came from the server; what is here or was decided is not doubled. */
export function arrived(queue: Queue, more: LookItem[]): Queue {
  const known = new Set([
    ...queue.items.map((item) => item.id),
    ...queue.done.filter((done) => done.state !== 'refused').map((done) => done.item.id),
  ])
  return { ...queue, items: [...queue.items, ...more.filter((item) => !known.has(item.id))] }
}

/** Decided: the next one is shown at once. */
export function decided(queue: Queue, item: LookItem, decision: LookDecision, said: string): Queue {
  return {
    ...queue,
    again: null,
    items: queue.items.filter((other) => other.id !== item.id),
    skipped: queue.skipped.filter((id) => id !== item.id),
    done: [
      ...queue.done.filter((done) => done.item.id !== item.id),
      { item, decision, said, state: 'sending', anew: queue.again?.id === item.id },
    ],
  }
}

/**
 * The server has it, or not; what it refused is shown again first. What was decided before stands
 * as it did when a new decision is refused, and may wait again when it is kept.
 */
export function answered(queue: Queue, id: string, state: 'kept' | 'refused'): Queue {
  const done = queue.done.map((each) => (each.item.id === id ? { ...each, state } : each))
  const one = queue.done.find((each) => each.item.id === id)
  if (!one || (state === 'kept' && !one.anew)) return { ...queue, done }
  const left = { ...queue, done: done.filter((each) => each.item.id !== id) }
  if (one.anew) return left
  return { ...left, items: [one.item, ...queue.items.filter((other) => other.id !== id)] }
}

/** Later: after all others. */
export function skip(queue: Queue): Queue {
  const now = current(queue)
  if (!now) return queue
  if (queue.again) return { ...queue, again: null }
  const items = [...queue.items.filter((item) => item.id !== now.id), now]
  const skipped = [...new Set([...queue.skipped, now.id])]
  // Once everything was left for later, the round begins anew.
  return { ...queue, items, skipped: items.every((item) => skipped.includes(item.id)) ? [] : skipped }
}

/** Decide one anew, as the server tells of it. */
export function reopen(queue: Queue, item: LookItem): Queue {
  return { ...queue, again: item }
}

export type Pressed =
  | { act: 'choose'; key: string; value: LookItem['choices'][number]['value']; label: string }
  | { act: 'skip' | 'undo' | 'type' | 'why' }

/** What a key means for the one that is shown; null for nothing. */
export function pressed(item: LookItem | null, key: string): Pressed | null {
  const choice = item?.choices.find((each) => each.key === key)
  if (choice) return { act: 'choose', key: choice.key, value: choice.value, label: choice.label }
  switch (key.toLowerCase()) {
    case 'l':
    case 'arrowright':
      return item ? { act: 'skip' } : null
    case 'u':
    case 'arrowleft':
      return { act: 'undo' }
    case 't':
      return item?.free ? { act: 'type' } : null
    case 'w':
      return { act: 'why' }
  }
  return null
}
