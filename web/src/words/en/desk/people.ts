import { some } from '../said'

export const people = {
  title: 'People and privacy',
  kept: 'What is kept',
  keptAbout: [
    'Marks, words and times of each sheet, under the key of a taster. A seat without a name has only its number.',
    'Names typed by tasters and hosts, beside the record and never in it.',
    'For each phone that joined: a random number made on the phone, and when it was last heard of. No addresses, no location.',
    'Nothing goes to anybody else. A name is published only with consent.',
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
  save: 'Keep',
  saved: 'Kept.',
  export: 'Everything kept of this person, as a file',
  erase: 'Erase the name',
  eraseAbout:
    'The name goes from the tasting file, the desk and all that is shown; phones of this seat are signed out. Marks stay under a pseudonym, because the scores of others rest on them. It cannot be taken back.',
  confirm: (key: string) => `To be sure, type ${key}`,
  why: 'Reason (may stay empty)',
  eraseGo: 'Erase the name',
  gone: (called: string, devices: number) =>
    `Erased. From now on the marks stand under ${called}; ${some(devices, 'phone was', 'phones were')} signed out.`,
  goneRecords: (records: number) =>
    `${some(records, 'older line', 'older lines')} of the record still hold the key. If the key itself is a name, make a cleaned copy of the record; the guide to privacy says how.`,
}
