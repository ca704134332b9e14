import { expect, test } from 'vitest'
import { ApiError, type Catalogue, type Tagged } from './api'
import { Editing } from './editing.svelte'

interface Thing {
  id?: string
  name: string
  size: number
  revision: number
}

/** A catalogue of one thing that behaves as the server does: it refuses an edit of an old revision. */
function oneThing(): Catalogue<Thing> & { stored: Thing } {
  const tag = (t: Thing): Tagged<Thing> => ({ value: structuredClone(t), etag: `"${t.revision}"` })
  const self = {
    stored: { id: 'a', name: 'A', size: 1, revision: 1 },
    list: async () => [self.stored],
    get: async () => tag(self.stored),
    create: async (t: { name: string; size: number }) => {
      if (!t.name)
        throw new ApiError(422, 'invalid', 'Mend it.', [
          { field: 'name', message: 'must not be empty', value: '' },
        ])
      self.stored = { ...t, id: 'a', revision: 1 }
      return tag(self.stored)
    },
    replace: async (_: string, t: { name: string; size: number }, etag: string) => {
      if (etag !== `"${self.stored.revision}"`) throw new ApiError(412, 'stale', 'Somebody was faster.')
      self.stored = { ...t, id: 'a', revision: self.stored.revision + 1 }
      return tag(self.stored)
    },
  }
  return self as unknown as Catalogue<Thing> & { stored: Thing }
}

test('a refusal keeps the draft and names the field; mending it saves', async () => {
  const editing = new Editing<Thing>(oneThing(), { blank: { name: '', size: 2 } as Thing })
  expect(editing.isNew).toBe(true)
  expect(await editing.save()).toBeNull()
  expect(editing.error?.faults[0]?.field).toBe('name')
  editing.draft.name = 'B'
  expect((await editing.save())?.name).toBe('B')
  expect(editing.isNew).toBe(false)
  expect(editing.changed).toBe(false)
})

test('an edit of an old revision shows both sides and saves what is chosen', async () => {
  const catalogue = oneThing()
  const editing = new Editing<Thing>(catalogue, { opened: await catalogue.get('a') })
  editing.draft.size = 5
  catalogue.stored = { id: 'a', name: 'Renamed', size: 7, revision: 2 }
  expect(await editing.save()).toBeNull()
  expect(editing.conflictOpen).toBe(true)
  expect(editing.conflict.map((d) => [d.field, d.who])).toEqual([
    ['name', 'theirs'],
    ['size', 'both'],
  ])
  expect(editing.draft.size).toBe(5) // nothing is lost while the reader decides
  const saved = await editing.resolve({ name: 'theirs', size: 'mine' })
  expect(saved).toMatchObject({ name: 'Renamed', size: 5, revision: 3 })
})

test('a newer version is taken over only where nothing was edited', async () => {
  const catalogue = oneThing()
  const editing = new Editing<Thing>(catalogue, { opened: await catalogue.get('a') })
  catalogue.stored = { id: 'a', name: 'Renamed', size: 1, revision: 2 }
  editing.refresh(await catalogue.get('a'))
  expect(editing.draft.name).toBe('Renamed')
  editing.draft.size = 9
  catalogue.stored = { id: 'a', name: 'Again', size: 1, revision: 3 }
  editing.refresh(await catalogue.get('a'))
  expect(editing.draft).toMatchObject({ name: 'Renamed', size: 9 })
})
