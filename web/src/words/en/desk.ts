export const desk = {
  title: 'Desk',
}
export type DeskWords = typeof desk
