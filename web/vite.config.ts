import { fileURLToPath } from 'node:url'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig } from 'vitest/config'

// While developing, the page comes from Vite and the data from a running server.
const server = process.env.HOLDFAST_URL ?? 'http://127.0.0.1:8420'

export default defineConfig({
  plugins: [svelte()],
  publicDir: 'static',
  resolve: {
    alias: { $lib: fileURLToPath(new URL('./src/lib', import.meta.url)) },
    // The test runner must take Svelte's browser half, or nothing mounts.
    conditions: process.env.VITEST ? ['browser'] : undefined,
  },
  build: { outDir: 'dist', emptyOutDir: true, target: 'es2022', chunkSizeWarningLimit: 900 },
  // The server takes changes from its own page only, so the proxy speaks as that page.
  server: { proxy: { '/api': { target: server, changeOrigin: true, headers: { origin: server } } } },
  test: { include: ['src/**/*.test.ts'], environment: 'jsdom' },
})
