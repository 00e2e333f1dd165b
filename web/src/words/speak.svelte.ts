/**
 * The words of the interface, in the language of the person.
 *
 * Each language has the same areas with the same keys; the types of English are binding, so
 * that a missing key fails the check. An area is loaded with its page. The words of the score
 * sheet come from the sheet and are not here. What the server says is English, and `told` says
 * it in the language of the person.
 */
import { shared, type SharedWords } from './en/shared'
import type { DeskWords } from './en/desk'
import type { GuideWords } from './en/guide'
import type { HostWords } from './en/host'
import type { PracticeWords } from './en/practice'
import type { TasterWords } from './en/taster'
import { telling, type Catalogue, type Telling } from './told'

export interface Words {
  shared: SharedWords
  taster: TasterWords
  host: HostWords
  desk: DeskWords
  practice: PracticeWords
  guide: GuideWords
}
export type Area = Exclude<keyof Words, 'shared'>
export type Language = 'en' | 'de'

type Sources = { [A in keyof Words]: () => Promise<Words[A]> }

export const SOURCES: Record<Language, Sources> = {
  en: {
    shared: async () => shared,
    taster: async () => (await import('./en/taster')).taster,
    host: async () => (await import('./en/host')).host,
    desk: async () => (await import('./en/desk')).desk,
    practice: async () => (await import('./en/practice')).practice,
    guide: async () => (await import('./en/guide')).guide,
  },
  de: {
    shared: async () => (await import('./de/shared')).shared,
    taster: async () => (await import('./de/taster')).taster,
    host: async () => (await import('./de/host')).host,
    desk: async () => (await import('./de/desk')).desk,
    practice: async () => (await import('./de/practice')).practice,
    guide: async () => (await import('./de/guide')).guide,
  },
}

/** What the server says on the pages of an area; English needs none. */
const TOLD: Record<Language, ((area: Area) => Promise<Catalogue>) | null> = {
  en: null,
  de: async (area) => (await import('./de/told')).told(area),
}

export const LANGUAGES: Record<Language, string> = { en: 'English', de: 'Deutsch' }
const KEPT = 'halfpoint-language'

class Speak {
  language = $state<Language>(chosen())
  #words = $state.raw<Partial<Words>>({ shared })
  #told = $state.raw<Telling>((text) => text)

  constructor() {
    document.documentElement.lang = this.language
  }

  /** Have the words of an area (and the shared ones) at hand in the language chosen. */
  async load(area: Area): Promise<void> {
    await this.#fetch(this.language, ['shared', area, ...this.#areas()])
  }

  /** Speak another language from now on, and remember it on this device. */
  async choose(language: Language): Promise<void> {
    await this.#fetch(language, this.#areas())
    this.language = language
    document.documentElement.lang = language
    keep(language)
  }

  /** What the server says, in the language of the person; as it came where that is not known. */
  told(text: string): string {
    return this.#told(text)
  }

  get shared(): SharedWords {
    return this.#words.shared ?? shared
  }
  get taster(): TasterWords {
    return this.#of('taster')
  }
  get host(): HostWords {
    return this.#of('host')
  }
  get desk(): DeskWords {
    return this.#of('desk')
  }
  get practice(): PracticeWords {
    return this.#of('practice')
  }
  get guide(): GuideWords {
    return this.#of('guide')
  }

  #areas(): (keyof Words)[] {
    return Object.keys(this.#words) as (keyof Words)[]
  }

  async #fetch(language: Language, areas: (keyof Words)[]): Promise<void> {
    const sources = SOURCES[language]
    const wanted = [...new Set(areas)]
    const catalogue = TOLD[language]
    const [found, parts] = await Promise.all([
      Promise.all(wanted.map(async (area) => [area, await sources[area]()] as const)),
      Promise.all(catalogue ? wanted.filter((area) => area !== 'shared').map(catalogue) : []),
    ])
    this.#words = { ...this.#words, ...Object.fromEntries(found) }
    this.#told = telling(Object.assign({}, ...parts) as Catalogue)
  }

  #of<A extends Area>(area: A): Words[A] {
    const words = this.#words[area]
    if (!words) throw new Error(`the words of '${area}' are not loaded yet`)
    return words as Words[A]
  }
}

function chosen(): Language {
  const wanted = [kept(), ...navigator.languages.map((tag) => tag.slice(0, 2).toLowerCase())]
  return wanted.find((tag): tag is Language => tag !== null && tag in LANGUAGES) ?? 'en'
}

// Storage may be forbidden; then the choice lasts as long as the page.
function kept(): string | null {
  try {
    return localStorage.getItem(KEPT)
  } catch {
    return null
  }
}
function keep(language: Language): void {
  try {
    localStorage.setItem(KEPT, language)
  } catch {
    return
  }
}

export const speak = new Speak()
