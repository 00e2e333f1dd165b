/** `1 sheet`, `2 sheets`. */
export const some = (count: number, one: string, many: string) =>
  `${count} ${count === 1 ? one : many}`

/** `1st`, `12th`, `23rd`. */
export const ordinal = (place: number) => {
  const last = place % 100
  if (last >= 11 && last <= 13) return `${place}th`
  return `${place}${['th', 'st', 'nd', 'rd'][place % 10] ?? 'th'}`
}
