/**
 * How the app talks with its server: JSON, and refusals that say what to do.
 *
 * `Refused` is an answer of the server that a person can act on; `Unreachable` is no answer at
 * all (no signal, server gone, or something between that answers in its place).
 */

export interface Problem {
  found: string
  where?: string | null
  expected?: string | null
  remedy?: string | null
  code?: string | number | null
}

export class Refused extends Error {
  override name = 'Refused'
  constructor(
    readonly status: number,
    readonly problem: Problem,
    /** Seconds after which to ask again, when the server says so. */
    readonly after: number | null = null,
  ) {
    super(problem.found)
  }
}

export class Unreachable extends Error {
  override name = 'Unreachable'
}

export interface Asking {
  method?: 'GET' | 'POST' | 'PUT' | 'DELETE'
  /** Sent as JSON; a FormData goes as it is. */
  body?: unknown
  /** Bearer token of a taster or host; without one the organiser's cookie goes along. */
  token?: string
  /** ETag of what is here already: the answer is then null when nothing changed. */
  unless?: string | null
  signal?: AbortSignal
  /** Milliseconds after which the server counts as unreachable. */
  patience?: number
}

export interface Answer<T> {
  value: T
  tag: string | null
}

/** Ask the server; the answer's JSON as T. */
export async function call<T>(path: string, asking: Asking = {}): Promise<T> {
  const answer = await callTagged<T>(path, asking)
  return (answer as Answer<T>).value
}

/** The same with the ETag; null when the server has nothing newer than `unless`. */
export async function callTagged<T>(path: string, asking: Asking = {}): Promise<Answer<T> | null> {
  const response = await send(path, asking)
  if (response.status === 304) return null
  if (!response.ok) throw await refusal(response)
  const tag = response.headers.get('ETag')
  if (response.status === 204) return { value: undefined as T, tag }
  if (!isJson(response)) throw new Unreachable('no JSON came back')
  return { value: (await response.json()) as T, tag }
}

/** A file from the server. */
export async function fetchFile(path: string, asking: Asking = {}): Promise<Blob> {
  const response = await send(path, asking)
  if (!response.ok) throw await refusal(response)
  return response.blob()
}

async function send(path: string, asking: Asking): Promise<Response> {
  const patience = AbortSignal.timeout(asking.patience ?? 20_000)
  try {
    return await fetch(path, {
      method: asking.method ?? 'GET',
      headers: headers(asking),
      body: body(asking.body),
      signal: asking.signal ? AbortSignal.any([asking.signal, patience]) : patience,
      cache: 'no-store',
      credentials: asking.token ? 'omit' : 'same-origin',
      redirect: 'error',
    })
  } catch (failure) {
    if (asking.signal?.aborted) throw failure
    throw new Unreachable(String(failure))
  }
}

function headers(asking: Asking): Record<string, string> {
  const found: Record<string, string> = { Accept: 'application/json', 'X-Halfpoint': '1' }
  if (asking.token) found['Authorization'] = `Bearer ${asking.token}`
  if (asking.unless) found['If-None-Match'] = asking.unless
  if (asking.body !== undefined && !(asking.body instanceof FormData)) {
    found['Content-Type'] = 'application/json'
  }
  return found
}

function body(value: unknown): BodyInit | null {
  if (value === undefined) return null
  return value instanceof FormData ? value : JSON.stringify(value)
}

function isJson(response: Response): boolean {
  return /[/+]json\b/.test(response.headers.get('Content-Type') ?? '')
}

async function refusal(response: Response): Promise<Error> {
  const after = Number(response.headers.get('Retry-After')) || null
  // A page of something in between (a hotel's login, a proxy) is no answer of our server.
  if (!isJson(response)) return new Unreachable(`${response.status}`)
  const told = (await response.json().catch(() => ({}))) as Partial<Problem> & { detail?: unknown }
  const found = told.found ?? (typeof told.detail === 'string' ? told.detail : '')
  return new Refused(response.status, { ...told, found }, after)
}
