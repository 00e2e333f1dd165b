export const host = {
  title: 'Host',
}
export type HostWords = typeof host
