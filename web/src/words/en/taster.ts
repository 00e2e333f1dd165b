export const taster = {
  title: 'Your score sheet',
}
export type TasterWords = typeof taster
