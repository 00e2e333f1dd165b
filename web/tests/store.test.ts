import { Dexie } from 'dexie'
import { afterEach, describe, expect, test } from 'vitest'
import { setMark, setRemark, toggle } from '../src/taster/draft'
import { Store } from '../src/taster/store'

const SEAT = 'evening/mill/1'
let number = 0
const stores: Store[] = []

function store(name = `halfpoint-${++number}`): Store {
  const made = new Store(name)
  stores.push(made)
  return made
}
afterEach(() => stores.splice(0).forEach((each) => each.close()))

describe('the store of this device', () => {
  test('what was tapped is there after the browser was closed', async () => {
    const before = store()
    await before.edit(SEAT, '481', setMark('aroma', 4.5))
    before.close()
    const found = await store(before.name).drafts.where({ seat: SEAT, code: '481' }).first()
    expect(found).toMatchObject({ version: 1, marks: { aroma: 4.5 } })
  })
  test('edits of two tabs at once are both kept, under one id', async () => {
    const one = store()
    const two = store(one.name)
    await Promise.all([
      one.edit(SEAT, '481', setMark('aroma', 4.5)),
      two.edit(SEAT, '481', setMark('taste', 5)),
      one.edit(SEAT, '481', toggle('terms', 'lemon')),
      two.edit(SEAT, '481', setRemark('good')),
    ])
    expect(await one.drafts.toArray()).toMatchObject([
      { version: 4, marks: { aroma: 4.5, taste: 5 }, terms: ['lemon'], remark: 'good' },
    ])
  })
  test('this device has one name for ever', async () => {
    const one = store()
    const two = store(one.name)
    const names = await Promise.all([one.device(), two.device(), one.device()])
    expect(new Set(names).size).toBe(1)
    expect(names[0]).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/)
  })
  test('leaving a pour that was never touched stores nothing', async () => {
    const one = store()
    await one.leave(SEAT, '481')
    expect(await one.drafts.count()).toBe(0)
  })
  test('an answer while the taster goes on writing leaves the newer version waiting', async () => {
    const one = store()
    const first = await one.edit(SEAT, '481', setMark('aroma', 4.5))
    await one.edit(SEAT, '481', setMark('aroma', 5))
    await one.settle(first.id, { version: 1, state: 'kept', entry: 1, problems: [], hints: [] })
    expect(await one.drafts.get(first.id)).toMatchObject({ version: 2, said: { version: 1 } })
  })
  test('a later version of the app takes over what an earlier one stored', async () => {
    const one = store()
    await one.edit(SEAT, '481', setMark('aroma', 4.5))
    one.close()
    const later = new Dexie(one.name)
    later.version(1).stores({ seats: 'id', drafts: 'id, seat, &[seat+code]', settings: 'key' })
    later
      .version(2)
      .stores({ drafts: 'id, seat, &[seat+code], version' })
      .upgrade((change) => change.table('drafts').toCollection().modify({ added: true }))
    expect(await later.table('drafts').toArray()).toMatchObject([
      { marks: { aroma: 4.5 }, added: true },
    ])
    later.close()
  })
})
