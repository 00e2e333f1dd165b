import { afterEach, describe, expect, test } from 'vitest'
import { PracticeStore } from '../src/practice/store'
import { setMark, toggle } from '../src/taster/draft'

const stores: PracticeStore[] = []
let count = 0
function store(name = `practice-${count++}`): PracticeStore {
  const made = new PracticeStore(name)
  stores.push(made)
  return made
}
afterEach(() => stores.splice(0).forEach((each) => each.close()))

describe('practices of this device', () => {
  test('lines come back in the order in which they were added, after the browser was closed', async () => {
    const before = store()
    const id = await before.begin(['begun'], 'Mine')
    await before.add(id, ['one', 'two'])
    before.close()
    const after = store(before.name)
    expect(await after.linesOf(id)).toEqual(['begun', 'one', 'two'])
    expect(await after.setting('practice')).toBe(id)
  })
  test('edits of two tabs at once are both kept', async () => {
    const one = store()
    const two = store(one.name)
    const id = await one.begin(['begun'])
    await Promise.all([
      one.edit(id, setMark('aroma', 4.5)),
      two.edit(id, setMark('taste', 5)),
      one.edit(id, toggle('terms', 'lemon')),
    ])
    const kept = await two.marking.get(id)
    expect(kept?.draft).toMatchObject({ marks: { aroma: 4.5, taste: 5 }, terms: ['lemon'] })
  })
  test('answers given quickly one after another are all kept', async () => {
    const one = store()
    const id = await one.begin(['begun'])
    const rounds = ['a', 'b', 'c'].map((right) => ({ codes: [right], contents: ['A' as const], right }))
    await one.drills.put({ practice: id, test: 'triangle', pair: '', rounds, answers: [null, null, null], poured: true })
    await Promise.all(
      rounds.map(({ right }, round) =>
        one.pour(id, (kept) => ({ ...kept, answers: kept.answers.map((each, at) => (at === round ? right : each)) })),
      ),
    )
    expect((await one.drills.get(id))?.answers).toEqual(['a', 'b', 'c'])
  })
  test('a wine that is kept is a line, and no longer under way', async () => {
    const one = store()
    const id = await one.begin(['begun'])
    await one.edit(id, setMark('aroma', 4.5))
    await one.keep(id, 'a line')
    expect(await one.linesOf(id)).toEqual(['begun', 'a line'])
    expect(await one.marking.get(id)).toBeUndefined()
  })
  test('practices of one device do not mix', async () => {
    const one = store()
    const first = await one.begin(['first'])
    const second = await one.begin(['second'])
    await one.add(first, ['more'])
    expect([await one.linesOf(first), await one.linesOf(second)]).toEqual([['first', 'more'], ['second']])
  })
})
