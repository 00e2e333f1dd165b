/** The desk's stream of events: each page that shows something asks again when it has changed. */

type Kind = 'progress' | 'looks' | 'results' | 'revealed'
const KINDS: Kind[] = ['progress', 'looks', 'results', 'revealed']

class Live {
  /** How often each kind was told; a page watches the number. */
  told = $state<Record<Kind, number>>({ progress: 0, looks: 0, results: 0, revealed: 0 })
  /** What was told last, as the server sent it. */
  last = $state.raw<Partial<Record<Kind, unknown>>>({})
  linked = $state(false)
  #source: EventSource | null = null

  start(): void {
    if (this.#source) return
    const source = new EventSource('/api/desk/events')
    this.#source = source
    source.onopen = () => {
      this.linked = true
      // Whatever was missed meanwhile is asked for.
      for (const kind of KINDS) this.told[kind]++
    }
    source.onerror = () => {
      this.linked = false
      // A refusal ends the stream for good; a broken line is tried again by the browser.
      if (source.readyState === EventSource.CLOSED) this.#again()
    }
    for (const kind of KINDS) {
      source.addEventListener(kind, (event) => {
        this.last = { ...this.last, [kind]: read((event as MessageEvent<string>).data) }
        this.told[kind]++
      })
    }
  }

  stop(): void {
    this.#source?.close()
    this.#source = null
    this.linked = false
  }

  #again(): void {
    this.stop()
    setTimeout(() => this.start(), 5_000)
  }
}

function read(text: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    return null
  }
}

export const live = new Live()
