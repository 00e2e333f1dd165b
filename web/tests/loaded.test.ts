import { expect, test } from 'vitest'
import { Loaded } from '../src/parts/loaded.svelte'

/** A server whose answers come when the test says so. */
function server() {
  const asked: string[] = []
  const waiting: ((value: string) => void)[] = []
  const ask = (path: string) => {
    asked.push(path)
    return new Promise((resolve) => waiting.push((value) => resolve({ value, tag: null })))
  }
  const answer = async (value: string) => {
    waiting.shift()?.(value)
    await new Promise((resolve) => setTimeout(resolve))
  }
  return { asked, answer, loaded: new Loaded<string>(ask as never) }
}

test('news while it is being asked for is asked for once more, and every answer is shown', async () => {
  const { asked, answer, loaded } = server()
  const first = loaded.load('/results')
  const again = [loaded.load(), loaded.load('/results')]
  expect(asked).toEqual(['/results'])
  await answer('one')
  expect(loaded.value).toBe('one')
  expect(asked).toEqual(['/results', '/results'])
  expect(loaded.busy).toBe(true)
  await answer('two')
  await Promise.all([first, ...again])
  expect([loaded.value, loaded.busy, asked.length]).toEqual(['two', false, 2])
})

test('what is asked for elsewhere meanwhile is not shown any more', async () => {
  const { asked, answer, loaded } = server()
  void loaded.load('/one')
  const second = loaded.load('/two')
  await answer('of one')
  expect(loaded.value).toBe(null)
  await answer('of two')
  await second
  expect([loaded.value, loaded.busy]).toEqual(['of two', false])
  expect(asked).toEqual(['/one', '/two'])
})
