/** What there will be to say is worked out before it is asked for, while nobody waits. */
import { calibrate } from '../learn/calibration'
import type { Diary, Entry } from '../learn/diary'
import { follow } from '../learn/progress'
import { remembering } from '../learn/remember'
import { today } from './today'

export const remembered = remembering(calibrate)

/** Work out what a practice says, and what it would say with one more entry. */
export function foresee(diary: Diary, entry: Entry | null): void {
  follow(diary, remembered)
  const last = diary.stages.at(-1)
  if (!entry || !last) return
  const marked = [...last.marked, { session: today(), entry, corrects: false }]
  follow({ ...diary, stages: [...diary.stages.slice(0, -1), { ...last, marked }] }, remembered)
}

/** Do it once the browser has nothing else to do; gives what calls it off. */
export function whenIdle(work: () => void): () => void {
  // Not in WebKit before 2026.
  const wait = globalThis.requestIdleCallback as typeof requestIdleCallback | undefined
  if (!wait) {
    const timer = setTimeout(work, 200)
    return () => clearTimeout(timer)
  }
  const turn = wait(work, { timeout: 2000 })
  return () => cancelIdleCallback(turn)
}
