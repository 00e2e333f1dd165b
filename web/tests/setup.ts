import 'fake-indexeddb/auto'

Object.assign(globalThis, { __BUILD__: 'test' })
