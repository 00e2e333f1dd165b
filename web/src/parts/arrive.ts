/** For the heading of a page: shown from the top, and read out when somebody comes to it. */
let first = true

export function arrive(heading: HTMLElement): void {
  scrollTo(0, 0)
  if (first) {
    first = false
    return
  }
  heading.tabIndex = -1
  heading.focus({ preventScroll: true })
}
