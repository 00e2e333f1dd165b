import { some } from '../said'

export const people = {
  title: 'People and privacy',
  kept: 'What is kept',
  keptAbout: [
    'Marks, words and times of each sheet, under the key of a taster. A seat without a name has only its number.',
    'Names typed by tasters and hosts, beside the record and never in it.',
    'For each phone that joined: a random number made on the phone, and when it was last heard of. No addresses, no location.',
    'Nothing goes to anybody else. A name is published only with consent, and a letter is written only to whoever agreed to one; the second stands in the record.',
  ],
  everybody: (count: string) => `${count} people`,
  search: 'Find',
  sheets: (entries: number) => some(entries, 'sheet', 'sheets'),
  erased: 'erased',
  nobody: 'Nobody by that name.',
  seat: (site: string, seat: number, devices: number) =>
    [site, seat ? `seat ${seat}` : '', some(devices, 'phone', 'phones')].filter(Boolean).join(', ') + '.',
  held: (count: number) => `${some(count, 'sheet', 'sheets')} held.`,
  name: 'Name',
  consent: 'the name may be published',
  letter: 'wants a letter',
  save: 'Keep',
  saved: 'Kept.',
  export: 'Everything kept of this person, as a file',
  erase: 'Erase the name',
  eraseAbout:
    'The name goes from the tasting file, the desk and all that is shown; phones of this seat are signed out. Marks stay under a pseudonym, because the scores of others rest on them. It cannot be taken back.',
  confirm: (key: string) => `To be sure, type ${key}`,
  eraseGo: 'Erase the name',
  gone: (called: string, devices: number) =>
    `Erased. From now on the marks stand under ${called}; ${some(devices, 'phone was', 'phones were')} signed out.`,
  goneRecords: (records: number) =>
    `${some(records, 'older line', 'older lines')} of the record still hold the key. If the key itself is a name, make a cleaned copy of the record.`,
  toCleaned: 'To the cleaned copy',
}

export const cleaned = {
  title: 'A cleaned copy of the record',
  what: 'A copy of the whole record in which a person has another name: the key wherever a line names the taster, and key and names as whole words in remarks, reasons and names of files. Numbers, times and marks stay. The record that is served is not touched.',
  when: 'After erasing, pages and reports show the pseudonym, but older lines of the record still hold the key. A copy is needed when that key is itself a name, or when people wrote the name into remarks or reasons. A key such as “seat-4” needs none.',
  nobody: 'Nobody was erased yet. Erase a name first; then its copy can be made here.',
  who: 'Whom to clean out, by pseudonym',
  names: 'Names by which people may have called this person',
  namesAbout: 'One a line, as in remarks: full name, first name, nickname.',
  whyAbout: (who: string) => `Stands in the first line of the copy, beside the name ${who}.`,
  go: 'Make the copy',
  made: (name: string) => `Kept as ${name}, where this browser keeps downloads.`,
  then: 'Putting it in the record’s place',
  steps: [
    'Stop halfpoint serve.',
    'Put the copy where the record is, under the record’s name, and keep or destroy the old one as your law asks.',
    'Where the tasting file lists the person, change the key there to the pseudonym.',
    'Look it over with “halfpoint verify”, and start halfpoint serve again.',
  ],
  cannot: 'What it cannot do',
  limits: [
    'It cannot take the name out of the old record, its backups, or copies that others have.',
    'It does not find somebody who is described without being named, nor a name that is spelt otherwise.',
    'Handwriting on kept pictures of paper stays readable.',
    'Who noted the end of the old record sees from the first line that this is a cleaned copy of it, and can no longer compare line by line. That cannot be undone once the old record is gone.',
  ],
}
