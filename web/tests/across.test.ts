import { describe, expect, test } from 'vitest'
import { across } from '../src/parts/across'

const TICKS = { whole: [9, 0], other: [5, 0] } as { whole: [number, number]; other: [number, number] }
const ticks = (shape: string) => shape.split('M').length - 2

describe('a ruler across a picture', () => {
  test('reaches from half a knob to half a knob, and holds what lies beyond its ends', () => {
    const { at } = across({ lowest: 0, top: 6, step: 0.5 }, 328, 34, TICKS)
    expect([at(0), at(3), at(6), at(7), at(-1)]).toEqual([14, 164, 314, 314, 14])
  })
  test('has a tick at every step, and only whole ones where there is no room', () => {
    expect(ticks(across({ lowest: 0, top: 6, step: 0.5 }, 328, 34, TICKS).shape)).toBe(13)
    expect(ticks(across({ lowest: 0, top: 20, step: 0.1 }, 328, 34, TICKS).shape)).toBe(21)
  })
  test('numbers every whole mark, or as many as can be read', () => {
    const numbered = (top: number) => across({ lowest: 0, top, step: 0.5 }, 300, 34, TICKS).numbered
    expect(numbered(3)).toEqual([0, 1, 2, 3])
    expect(numbered(20)).toEqual([0, 2, 4, 6, 8, 10, 12, 14, 16, 18, 20])
  })
})
