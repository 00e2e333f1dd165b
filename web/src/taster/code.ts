/** The code of a table, as typed, scanned, or in an address. */

export const LENGTH = 6

/** Capitals without blanks, hyphens and the like. */
export function asCode(text: string): string {
  return text.toUpperCase().replace(/[^A-Z0-9]/g, '')
}

/** In two groups of three, as people read it out. */
export function spokenCode(code: string): string {
  return code.length > 3 ? `${code.slice(0, 3)} ${code.slice(3)}` : code
}

/**
 * The code in what a square says: `halfpoint:TASTING:SITE:TABLE:CODE` as printed on a card, or
 * an address that ends in `/join/CODE`; null when it is neither.
 */
export function scannedCode(text: string): string | null {
  const found =
    /^halfpoint(?::[^:]*){3}:([A-Z0-9]{6})$/i.exec(text.trim()) ??
    /\/join\/([A-Z0-9]{6})\/?$/i.exec(text.trim())
  return found?.[1]?.toUpperCase() ?? null
}
