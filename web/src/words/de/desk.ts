import type { DeskWords } from '../en/desk'

export const desk: DeskWords = {
  title: 'Desk',
}
