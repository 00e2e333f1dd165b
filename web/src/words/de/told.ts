import type { Area } from '../speak.svelte'
import type { Catalogue } from '../told'

type Part = () => Promise<{ default: Catalogue }>

const everywhere: Part = () => import('./told/everywhere.json')
const putTogether: Part = () => import('./told/put-together.json')
const host: Part = () => import('./told/host.json')
const desk: Part = () => import('./told/desk.json')
const PARTS: Partial<Record<Area, Part[]>> = {
  // A host sees why sheets wait, whatever way they came.
  host: [everywhere, putTogether, host, desk],
  desk: [
    everywhere,
    putTogether,
    host,
    desk,
    () => import('./told/file.json'),
    () => import('./told/plan.json'),
    () => import('./told/record.json'),
    () => import('./told/found.json'),
  ],
}

/** What the server says on the pages of an area. */
export async function told(area: Area): Promise<Catalogue> {
  const parts = await Promise.all((PARTS[area] ?? [everywhere, putTogether]).map((part) => part()))
  return Object.assign({}, ...parts.map((part) => part.default)) as Catalogue
}
