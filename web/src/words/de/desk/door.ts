import type { DeskWords } from '../../en/desk'

export const door: DeskWords['door'] = {
  title: 'Leute hereinlassen',
  hosts: 'Links für Gastgeber',
  hostsAbout:
    'Ein Link öffnet die Seite eines Raums und sonst nichts. Er wird einmal gezeigt; geben Sie ihn auf einem Weg weiter, dem Sie trauen.',
  site: 'Raum',
  days: 'Wie viele Tage er gilt',
  make: 'Link machen',
  fresh: (site) => `Der Link für ${site}; er wird nicht noch einmal gezeigt`,
  copy: 'Kopieren',
  copied: 'Kopiert.',
  made: 'gemacht',
  ends: 'endet',
  revoked: 'zurückgenommen',
  takeBack: 'zurücknehmen',
  takeBackOf: (site) => `Den Link für ${site} zurücknehmen`,
  codes: 'Codes der Tische',
  codesAbout: 'Verkoster scannen das Quadrat oder tippen die sechs Zeichen. Drucken Sie die Karten und stellen Sie eine auf jeden Tisch.',
  print: 'Die Karten drucken',
  seats: 'auch eine für jeden Platz',
  table: (table) => `Tisch ${table}`,
  seat: (table, seat) => `Tisch ${table}, Platz ${seat}`,
  square: (url) => `Quadrat, das ${url} öffnet`,
}
