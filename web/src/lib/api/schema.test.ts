import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { expect, test } from 'vitest'

test('the generated types are those of the contract', () => {
  const script = join(import.meta.dirname, '../../../scripts/generate-api.mjs')
  expect(() => execFileSync(process.execPath, [script, '--check'], { stdio: 'pipe' })).not.toThrow()
}, 30_000)
