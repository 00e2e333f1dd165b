/** How the desk asks its server: with the organiser's cookie, and signed out when it has ended. */
import { callTagged, Refused, type Answer, type Asking } from '../api/call'
import { session } from './session.svelte'
import { Loaded } from '../parts/loaded.svelte'

const PREFIX = '/api/desk'
// Planning, a preview and the first result take their time.
const PATIENCE = 120_000

export async function askTagged<T>(path: string, asking: Asking = {}): Promise<Answer<T> | null> {
  try {
    return await callTagged<T>(PREFIX + path, { patience: PATIENCE, ...asking })
  } catch (trouble) {
    if (isOver(trouble)) session.ended()
    throw trouble
  }
}

/** Signed out; a wrong password typed at the desk is something else. */
const isOver = (trouble: unknown) =>
  trouble instanceof Refused && trouble.status === 401 && trouble.problem.code !== 'wrong-password'

export async function ask<T>(path: string, asking: Asking = {}): Promise<T> {
  return ((await askTagged<T>(path, asking)) as Answer<T>).value
}

export const loaded = <T>() => new Loaded<T>(askTagged)
