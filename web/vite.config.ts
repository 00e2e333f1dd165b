import { svelte } from '@sveltejs/vite-plugin-svelte'
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { PreRenderedChunk } from 'rollup'
import type { Plugin } from 'vite'
import { VitePWA } from 'vite-plugin-pwa'
import { defineConfig } from 'vitest/config'

const here = fileURLToPath(new URL('.', import.meta.url))

// Pieces without a page that every page uses; each by itself would cost its headers as well.
const SMALL = /\/src\/(api\/call|parts\/(arrive|say|scale|scrolls|submitted|uuid)|taster\/(draft|outbox))\.ts$/

/** A name for this build, from its sources, so that the same sources build the same app. */
function nameOfBuild(): string {
  const digest = createHash('sha256')
  for (const found of readdirSync(`${here}src`, { recursive: true, withFileTypes: true })) {
    if (found.isFile()) digest.update(readFileSync(`${found.parentPath}/${found.name}`))
  }
  return digest.digest('hex').slice(0, 8)
}

/** Chunks are named for whose page they are, so that a phone keeps only the taster's. */
function fileName(chunk: PreRenderedChunk): string {
  const paths = chunk.moduleIds.map((id) => id.slice(here.length))
  const whose = ['taster', 'desk', 'host', 'practice', 'guide'].find(
    (area) =>
      paths.length > 0 &&
      paths.every((path) => path.startsWith(`src/${area}/`) || path.endsWith(`/${area}.ts`)),
  )
  return `assets/${whose ?? 'shared'}-[name]-[hash].js`
}

/** Most who come are tasters: their page is asked for together with the first file. */
function tasterFirst(): Plugin {
  return {
    name: 'taster-first',
    transformIndexHtml: {
      order: 'post',
      handler: (_html, { bundle }) => {
        const chunks = Object.values(bundle ?? {}).filter((file) => file.type === 'chunk')
        const own = chunks.filter(({ moduleIds }) =>
          moduleIds.some((id) => /\/(taster\/Taster\.svelte|en\/taster\.ts)$/.test(id)),
        )
        const entries = chunks.filter(({ isEntry }) => isEntry).map(({ fileName }) => fileName)
        const names = new Set(own.flatMap(({ fileName, imports }) => [fileName, ...imports]))
        return [...names]
          .filter((name) => !entries.includes(name))
          .map((name) => ({
            tag: 'link',
            attrs: { rel: 'modulepreload', crossorigin: true, href: `/${name}` },
            injectTo: 'head' as const,
          }))
      },
    },
  }
}

export default defineConfig({
  plugins: [
    svelte(),
    tasterFirst(),
    VitePWA({
      strategies: 'injectManifest',
      srcDir: 'src',
      filename: 'sw.ts',
      injectRegister: false,
      registerType: 'prompt',
      manifestFilename: 'app.webmanifest',
      injectManifest: {
        globPatterns: ['index.html', 'assets/*.{js,css,woff2}', '*.{svg,png}'],
        globIgnores: ['assets/desk-*', 'assets/host-*', 'assets/{Desk,Host}-*.css'],
      },
      manifest: {
        id: '/',
        name: 'halfpoint',
        short_name: 'halfpoint',
        description: "The taster's sheet: marks in half points, kept on this phone.",
        start_url: '/',
        scope: '/',
        display: 'standalone',
        background_color: '#f6f4ee',
        theme_color: '#f6f4ee',
        icons: [
          { src: '/icon.svg', sizes: 'any', type: 'image/svg+xml' },
          { src: '/icon-192.png', sizes: '192x192', type: 'image/png' },
          { src: '/icon-512.png', sizes: '512x512', type: 'image/png' },
          { src: '/icon-mask.png', sizes: '512x512', type: 'image/png', purpose: 'maskable' },
        ],
      },
    }),
  ],
  define: { __BUILD__: JSON.stringify(nameOfBuild()) },
  build: {
    outDir: '../src/halfpoint/serve/app',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rollupOptions: {
      output: {
        chunkFileNames: fileName,
        entryFileNames: 'assets/[name]-[hash].js',
        manualChunks: (id) => (SMALL.test(id) ? 'small' : undefined),
      },
    },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8420' } },
  resolve: process.env['VITEST'] ? { conditions: ['browser'] } : {},
  test: { include: ['tests/**/*.test.ts'], environment: 'node', setupFiles: ['tests/setup.ts'] },
})
