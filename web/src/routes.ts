/** Which page is shown where; each is loaded, with its words, only when somebody goes there. */
import type { Component } from 'svelte'
import { speak, type Area } from './words/speak.svelte'

export interface Page {
  /** Tells one page from another; a change within the same page does not load it anew. */
  area: Area
  load: () => Promise<Component>
}

const PAGES: [RegExp, Area, () => Promise<{ default: Component }>][] = [
  [/^\/(join(\/.*)?)?$/, 'taster', () => import('./taster/Taster.svelte')],
  [/^\/host(\/.*)?$/, 'host', () => import('./host/Host.svelte')],
  [/^\/desk(\/.*)?$/, 'desk', () => import('./desk/Desk.svelte')],
  [/^\/practice$/, 'practice', () => import('./practice/Practice.svelte')],
  [/^\/guide$/, 'guide', () => import('./guide/Guide.svelte')],
]

/** The page of a path, or none. */
export function pageAt(path: string): Page | null {
  const found = PAGES.find(([pattern]) => pattern.test(path))
  if (!found) return null
  const [, area, load] = found
  return {
    area,
    load: async () => {
      const [module] = await Promise.all([load(), speak.load(area)])
      return module.default
    },
  }
}
