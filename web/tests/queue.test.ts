import { describe, expect, test } from 'vitest'
import {
  answered,
  arrived,
  current,
  decided,
  EMPTY,
  pressed,
  reopen,
  skip,
  upcoming,
} from '../src/desk/looks/queue'
import type { LookItem } from '../src/desk/types'

const item = (id: string, more: Partial<LookItem> = {}): LookItem => ({
  id,
  kind: 'paper',
  question: 'Aroma: 3 or 3½?',
  place: 'The Old Mill, seat 2',
  choices: [
    { key: '1', value: 3, label: '3' },
    { key: '2', value: 3.5, label: '3½' },
  ],
  site: 'mill',
  taster: '',
  code: '481',
  field: 'aroma',
  about: '',
  found: '',
  expected: '',
  free: '',
  says: [],
  said: [],
  ...more,
})
const three = arrived(EMPTY, [item('a'), item('b'), item('c')])
const decision = { choice: '1', why: '', who: '' }

describe('the queue of what needs a look', () => {
  test('shows the first, and fetches those after it ahead', () => {
    expect(current(three)?.id).toBe('a')
    expect(upcoming(three, 1).map(({ id }) => id)).toEqual(['b'])
  })
  test('shows the next at once when one is decided, before the server has answered', () => {
    const queue = decided(three, item('a'), decision, '3')
    expect(current(queue)?.id).toBe('b')
    expect(queue.done.map(({ said, state }) => [said, state])).toEqual([['3', 'sending']])
  })
  test('shows again what the server refused, and not what it kept', () => {
    const queue = decided(three, item('a'), decision, '3')
    expect(current(answered(queue, 'a', 'refused'))?.id).toBe('a')
    expect(answered(queue, 'a', 'refused').done).toEqual([])
    expect(current(answered(queue, 'a', 'kept'))?.id).toBe('b')
  })
  test('does not take in again what is here or was decided', () => {
    const queue = decided(three, item('a'), decision, '3')
    expect(arrived(queue, [item('a'), item('b'), item('d')]).items.map(({ id }) => id)).toEqual([
      'b',
      'c',
      'd',
    ])
  })
  test('leaves for later after all others, and comes round again', () => {
    const once = skip(three)
    expect(current(once)?.id).toBe('b')
    const all = skip(skip(once))
    expect(current(all)?.id).toBe('a')
    expect(all.skipped).toEqual([])
  })
  test('opens the last one decided anew, and goes on after it', () => {
    const queue = reopen(decided(three, item('a'), decision, '3'), item('a'))
    expect(current(queue)?.id).toBe('a')
    const again = decided(queue, item('a'), { ...decision, choice: '2' }, '3½')
    expect(current(again)?.id).toBe('b')
    expect(again.done.map(({ said }) => said)).toEqual(['3½'])
    expect(current(skip(queue))?.id).toBe('b')
  })
  test('is empty without anything', () => {
    expect(current(EMPTY)).toBeNull()
    expect(skip(EMPTY)).toEqual(EMPTY)
  })
})

describe('a key', () => {
  test('chooses what stands under it, zero included', () => {
    const boxes = item('x', { choices: [{ key: '1', value: 0, label: 'nothing' }] })
    expect(pressed(boxes, '1')).toEqual({ act: 'choose', key: '1', value: 0, label: 'nothing' })
    expect(pressed(boxes, '2')).toBeNull()
  })
  test('leaves for later, decides anew, types, or goes to the reason', () => {
    expect(pressed(item('x'), 'l')).toEqual({ act: 'skip' })
    expect(pressed(item('x'), 'U')).toEqual({ act: 'undo' })
    expect(pressed(item('x', { free: '0 to 6' }), 't')).toEqual({ act: 'type' })
    expect(pressed(item('x'), 't')).toBeNull()
    expect(pressed(item('x'), 'w')).toEqual({ act: 'why' })
    expect(pressed(null, 'l')).toBeNull()
  })
})

describe('a decision over another', () => {
  const again = decided(reopen(three, item('old')), item('old'), decision, '3')
  test('says that it is one', () => {
    expect(again.done.map(({ anew }) => anew)).toEqual([true])
    expect(decided(three, item('a'), decision, '3').done[0]?.anew).toBe(false)
  })
  test('leaves the first as it was when it is refused', () => {
    const refused = answered(again, 'old', 'refused')
    expect(refused.items.map(({ id }) => id)).toEqual(['a', 'b', 'c'])
    expect(refused.done).toEqual([])
  })
  test('may let it wait again', () => {
    const kept = answered(again, 'old', 'kept')
    expect(arrived(kept, [item('old')]).items.at(-1)?.id).toBe('old')
  })
})
