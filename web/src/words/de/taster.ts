import type { TasterWords } from '../en/taster'

export const taster: TasterWords = {
  title: 'Ihr Bewertungsbogen',
}
