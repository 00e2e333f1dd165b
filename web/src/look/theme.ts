/** Light or dark: as the device has it, or as the person chose on this device. */
export type Theme = 'auto' | 'light' | 'dark'
const KEPT = 'halfpoint-theme'

export function theme(): Theme {
  try {
    const kept = localStorage.getItem(KEPT)
    return kept === 'light' || kept === 'dark' ? kept : 'auto'
  } catch {
    return 'auto'
  }
}

export function applyTheme(chosen: Theme = theme()): void {
  const root = document.documentElement
  if (chosen === 'auto') root.removeAttribute('data-theme')
  else root.setAttribute('data-theme', chosen)
}

export function chooseTheme(chosen: Theme): void {
  applyTheme(chosen)
  try {
    localStorage.setItem(KEPT, chosen)
  } catch {
    return
  }
}
