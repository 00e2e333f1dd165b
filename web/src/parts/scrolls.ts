/** For what may be wider than the page: where it is, the keyboard reaches it, and it has a name. */
export function scrolls(area: HTMLElement): () => void {
  const look = () => {
    const wide = area.scrollWidth > area.clientWidth + 1 || area.scrollHeight > area.clientHeight + 1
    if (!wide) {
      for (const name of ['tabindex', 'role', 'aria-labelledby']) area.removeAttribute(name)
      return
    }
    area.tabIndex = 0
    area.setAttribute('role', 'group')
    const heading = area.closest('[aria-labelledby]:not(.scrolls)')?.getAttribute('aria-labelledby')
    if (heading) area.setAttribute('aria-labelledby', heading)
  }
  const watch = new ResizeObserver(look)
  watch.observe(area)
  if (area.firstElementChild) watch.observe(area.firstElementChild)
  look()
  return () => watch.disconnect()
}
