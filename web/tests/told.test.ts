import { describe, expect, test } from 'vitest'
import { telling } from '../src/words/told'
import { told } from '../src/words/de/told'

const say = telling({
  'no seat {number} at this site': 'kein Platz {number} in diesem Raum',
  'nothing': 'nichts',
  '{found}, where {said} is recorded': '{found}, wo {said} steht',
  '{low:n} to {high:n}': '{low} bis {high}',
  'the total': 'die Summe',
  'one of {names}{nearest}': 'eines von {names}{nearest}',
  "; did you mean '{name}'?": '; ist „{name}“ gemeint?',
  'seat {seat}': 'Platz {seat}',
  'it is {What}': 'das ist {What}',
})

describe('what the server says', () => {
  test.each([
    ['no seat 7 at this site', 'kein Platz 7 in diesem Raum'],
    ['nothing, where 4.5 is recorded', 'nichts, wo 4,5 steht'],
    ['nothing; no seat 7 at this site', 'nichts; kein Platz 7 in diesem Raum'],
    ["one of a, b; did you mean 'a'?", 'eines von a, b; ist „a“ gemeint?'],
    ['Aldermire, seat 4', 'Aldermire, Platz 4'],
    ['it is the total', 'das ist die Summe'],
    ['it is duft', 'das ist Duft'],
    ['0 to 6', '0 bis 6'],
    ['1,184', '1.184'],
  ])('is said part by part: %s', (english, german) => {
    expect(say(english)).toBe(german)
  })
  test.each([
    'One sentence. And another, with a comma; and 4.5. What? Nothing: all is there.',
    'Everyone may spit. Nobody has to finish a glass.',
    'a\nb, c; d: e. F',
  ])('keeps what stands between the parts: %s', (text) => {
    expect(say(text)).toBe(text)
  })
  test('is left alone in the language of the server', () => {
    expect(telling({})('4.5, 1,184. Then')).toBe('4.5, 1,184. Then')
  })
  test('stays as it came where nobody knows it', () => {
    const text = 'something to do, and what nobody has said before'
    expect(say(text)).toBe(text)
    expect(say('')).toBe('')
  })
})

describe('the German catalogue', () => {
  test('says whole sentences of the server', async () => {
    const german = telling(await told('desk'))
    expect(german('0 to 6 in half points')).toBe('0 bis 6 in halben Punkten')
    expect(german('sheets from 3 March 2026 until 7 March 2026, by the server’s clock'.replace('’', "'")))
      .toBe('Bögen vom 3. März 2026 bis zum 7. März 2026, nach der Uhr des Servers')
    expect(german('Cork taint is ticked, and the total has 15½; with it, 9 or less is usual.')).toBe(
      'Cork taint ist angekreuzt, und die Summe hat 15½; dazu gehören gewöhnlich 9 oder weniger.',
    )
    expect(german("Aroma: 4.25, where entry 12 (phone of s-3) already says 4½")).toContain('wo Eintrag 12')
  })
  test('says what was found, and leaves the names of wines as they are', async () => {
    const german = telling(await told('desk'))
    expect(
      german(
        'No wine is ahead on its own: the marks cannot tell Salt and Stone from Sallowfen Oxpiper or Quillmere Vexhollow. Tarnbeck Drumlark stands below Salt and Stone.',
      ),
    ).toBe(
      'Kein Wein liegt allein vorn: Die Punkte können Salt and Stone nicht von Sallowfen Oxpiper oder Quillmere Vexhollow unterscheiden. Tarnbeck Drumlark liegt unter Salt and Stone.',
    )
    expect(german('A, B and C are ahead; the marks cannot tell them apart. D follows. Then come E and F together; then G.')).toBe(
      'A, B und C liegen vorn; die Punkte können sie nicht unterscheiden. D folgt. Dann kommen E und F zusammen; dann G.',
    )
    expect(german('A, B and three others follow together.')).toBe('A, B und drei weitere folgen zusammen.')
    expect(
      german('16 of 1,200 tasters gave fewer than 5 marks, so nothing is told of them one by one.'),
    ).toBe('16 von 1.200 Verkostern gaben weniger als 5 Bögen ab; von ihnen wird einzeln nichts gesagt.')
    expect(german('Ticked on every sheet, which tells no wine from another: plum, hay.')).toContain(
      'Auf jedem Bogen angekreuzt',
    )
    expect(german('12 steps were used by nobody and passed over.')).toBe(
      '12 Stufen hat niemand benutzt; sie sind übergangen.',
    )
    expect(german('Aster is ahead of Birch by 1.5 points.')).toBe('Aster liegt 1,5 Punkte vor Birch.')
  })
  test('fills no gap that the English does not have', async () => {
    for (const [english, said] of Object.entries(await told('desk'))) {
      const gaps = (text: string) => [...text.matchAll(/\{(\w+)/g)].map(([, name]) => name?.toLowerCase())
      for (const gap of gaps(said)) expect(gaps(english), english).toContain(gap)
      expect(said, english).not.toMatch(/!|\b(ungültig|Fehler:)\b/)
    }
  })
})
