// Takes addresses out of package-lock.json: names, versions and hashes are enough to install.
// Run by hand after `npm install`.
import { readFileSync, writeFileSync } from 'node:fs'

const file = new URL('package-lock.json', import.meta.url)
const lock = JSON.parse(readFileSync(file, 'utf8'))
for (const part of Object.values(lock.packages)) {
  delete part.funding
  delete part.resolved
  delete part.deprecated
}
writeFileSync(file, JSON.stringify(lock, null, 2) + '\n')
