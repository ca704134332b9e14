// Writes src/lib/api/schema.d.ts out of src/lib/api/openapi.json, or with --check says whether they differ.
import { readFile, writeFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import openapiTS, { astToString } from 'openapi-typescript'

const contract = new URL('../src/lib/api/openapi.json', import.meta.url)
const schema = new URL('../src/lib/api/schema.d.ts', import.meta.url)

const head = '// Generated out of openapi.json by `npm run generate`; do not edit.\n\n'
const text = head + astToString(await openapiTS(contract))

if (process.argv.includes('--check')) {
  const stored = await readFile(schema, 'utf8').catch(() => '')
  if (stored !== text) {
    console.error(
      'src/lib/api/schema.d.ts is not what openapi.json says: run `npm run generate` and commit it.',
    )
    process.exit(1)
  }
} else {
  await writeFile(schema, text)
  console.log('wrote ' + fileURLToPath(schema))
}
