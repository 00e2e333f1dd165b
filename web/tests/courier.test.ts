import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { Courier } from '../src/taster/courier.svelte'
import { setMark } from '../src/taster/draft'
import { Store, type SeatKept } from '../src/taster/store'

const CATEGORIES = [{ key: 'aroma', label: 'Aroma', weight: 1 }]
const SHEET = { sheet: { categories: CATEGORIES }, server_time: '2026-03-06T20:00:00Z' }
const SEAT = {
  id: 'evening/mill/1', token: 'secret', code: 'CTGVND', sheet: SHEET, tag: null, ahead: 0,
  cautioned: true,
} as unknown as SeatKept

interface Parcel {
  entries: { id: string; version: number; code: string }[]
}
type Server = (path: string, sent: Parcel | null) => Response

const json = (value: unknown, status = 200) =>
  new Response(JSON.stringify(value), { status, headers: { 'Content-Type': 'application/json' } })
const kept = (sent: Parcel) =>
  json({
    answers: sent.entries.map(({ id, version }) => ({ id, version, state: 'kept', entry: 7 })),
    server_time: '2026-03-06T20:00:00Z',
    sheet_version: '1',
  })

let store: Store
let courier: Courier
let parcels: Parcel[]
let number = 0

function serve(server: Server): void {
  vi.stubGlobal('fetch', async (path: string, asking: RequestInit) => {
    const sent = asking.body ? (JSON.parse(String(asking.body)) as Parcel) : null
    if (sent) parcels.push(sent)
    return server(path, sent)
  })
}
const good: Server = (_path, sent) => (sent ? kept(sent) : json(SHEET))

beforeEach(async () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  vi.spyOn(console, 'error').mockImplementation(() => undefined)
  store = new Store(`courier-${++number}`)
  await store.seats.put(SEAT)
  courier = new Courier(store)
  parcels = []
})
afterEach(() => {
  store.close()
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

const mark = (code: string, aroma = 4) => store.edit(SEAT.id, code, setMark('aroma', aroma))
const states = async () => (await store.drafts.toArray()).map((draft) => draft.said?.state ?? null)

describe('the courier', () => {
  test('what was marked without a network is sent once when there is one', async () => {
    serve(() => {
      throw new TypeError('no network')
    })
    await mark('481')
    await courier.turn()
    expect([courier.line, await states()]).toEqual(['none', [null]])
    parcels = []
    serve(good)
    await courier.turn()
    await courier.turn()
    expect(parcels.map((parcel) => parcel.entries.length)).toEqual([1])
    expect([courier.line, await states()]).toEqual(['good', ['kept']])
  })
  test('an answer that was lost on the way is asked for again with the same id and version', async () => {
    serve((path, sent) => {
      if (sent) throw new TypeError('cut off after the server had written it')
      return good(path, sent)
    })
    await mark('481')
    await courier.turn()
    serve(good)
    await courier.turn()
    expect(parcels[1]).toEqual(parcels[0])
  })
  test('the page of a login in between is no answer', async () => {
    serve(() => new Response('<h1>Log in</h1>', { headers: { 'Content-Type': 'text/html' } }))
    await mark('481')
    await courier.turn()
    expect([courier.line, await states()]).toEqual(['none', [null]])
  })
  test('a seat that has run out keeps its marks and asks to join again', async () => {
    serve(() => json({ found: 'the seat has run out' }, 401))
    await mark('481')
    await courier.turn()
    expect([(await store.seats.get(SEAT.id))?.token, await states()]).toEqual([null, [null]])
  })
  test('one sheet that the server cannot take does not hold up the others', async () => {
    serve((path, sent) =>
      path === '/api/hello'
        ? json({ api: 1 })
        : sent?.entries.some((entry) => entry.code === '999')
          ? json({ found: 'too long', where: 'remark', expected: 'less' }, 422)
          : good(path, sent),
    )
    await mark('481')
    await mark('999')
    await mark('365')
    await courier.turn()
    expect((await states()).sort()).toEqual(['kept', 'kept', 'refused'])
    const refused = (await store.drafts.toArray()).find((draft) => draft.code === '999')
    expect(refused?.said?.problems).toEqual([
      { field: 'remark', found: 'too long', expected: 'less' },
    ])
  })
  test('a newer server is told apart from a bad sheet, and the marks stay waiting', async () => {
    serve((path, sent) =>
      path === '/api/hello' ? json({ api: 2 }) : sent ? json({ found: 'old' }, 422) : json(SHEET),
    )
    await mark('481')
    await courier.turn()
    expect([courier.line, await states()]).toEqual(['newer', [null]])
  })
  test('a server that is busy is left alone for as long as it says', async () => {
    serve(() => {
      const answer = json({ found: 'the record is busy', remedy: 'send again' }, 503)
      answer.headers.set('Retry-After', '90')
      return answer
    })
    await mark('481')
    await courier.turn()
    expect([courier.line, courier.trouble]).toEqual(['trouble', 'the record is busy: send again'])
    parcels = []
    serve(good)
    await vi.advanceTimersByTimeAsync(89_000)
    expect(parcels).toEqual([])
  })
  test('the clock of the server is noted, and decides nothing', async () => {
    serve(good)
    vi.setSystemTime(new Date('2026-03-06T09:00:00Z'))
    await mark('481')
    await courier.turn()
    expect(await states()).toEqual(['kept'])
    expect((await store.seats.get(SEAT.id))?.ahead).not.toBe(0)
  })
})
