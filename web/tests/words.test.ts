import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'

const AREAS = ['shared', 'taster', 'host', 'desk', 'practice'] as const
const LANGUAGES = ['en', 'de'] as const
type Words = Record<string, unknown>

async function words(language: string, area: string): Promise<Words> {
  const module = (await import(`../src/words/${language}/${area}.ts`)) as Record<string, Words>
  return module[area] as Words
}

/** Every text as `area.key`: what a function says for plain arguments counts too. */
function texts(value: unknown, path: string): [string, string][] {
  if (typeof value === 'function') return [[path, String(value(2, 2, 2, 2))]]
  if (typeof value === 'object' && value !== null) {
    return Object.entries(value).flatMap(([key, part]) => texts(part, `${path}.${key}`))
  }
  return [[path, String(value)]]
}

describe.each(AREAS)('the words for %s', (area) => {
  test('are complete in each language', async () => {
    const [english, german] = await Promise.all(LANGUAGES.map((each) => words(each, area)))
    const names = (found: Words) => texts(found, area).map(([path]) => path)
    expect(names(german!)).toEqual(names(english!))
  })
  test.each(LANGUAGES)('never scold and never exclaim (%s)', async (language) => {
    for (const [path, text] of texts(await words(language, area), area)) {
      expect(text, path).not.toMatch(/!|\b(error|invalid|failed|ungültig)\b/i)
      expect(text.trim(), path).not.toBe('')
    }
  })
})

test('no page has words of its own', () => {
  const areas = ['taster', 'host', 'desk', 'practice', 'parts']
  const pages = areas.flatMap((area) =>
    readdirSync(`src/${area}`, { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.svelte'))
      .map((name) => `src/${area}/${name}`),
  )
  for (const name of pages) {
    const markup = readFileSync(name, 'utf8')
      .replace(/<script[\s\S]*?<\/script>|<style[\s\S]*?<\/style>|<!--[\s\S]*?-->/g, '')
      .replace(/\{(?:[^{}]|\{(?:[^{}]|\{[^{}]*\})*\})*\}/g, '')
      .replace(/<[^>]*>/g, ' ')
    expect(markup.match(/[a-z]{3,}( [a-z]+)+/i)?.[0] ?? '', name).toBe('')
  }
})
