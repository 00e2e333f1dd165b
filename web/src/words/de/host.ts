import type { HostWords } from '../en/host'

export const host: HostWords = {
  title: 'Host',
}
