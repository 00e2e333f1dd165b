/** A field of a sheet as people say it: categories by their name on the sheet. */
import { speak } from '../../words/speak.svelte'
import type { EntryShown } from '../types'

export function named(field: string, sheet: EntryShown['sheet']): string {
  const label = sheet.categories.find(({ key }) => key === field)?.label
  const said = label ?? speak.told(field.replaceAll('_', ' '))
  return said.charAt(0).toLocaleUpperCase() + said.slice(1)
}
