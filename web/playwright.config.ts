import { defineConfig } from '@playwright/test'

// The system's Chromium, kept from calling home; a real server is started by the tests' fixture (e2e/server.ts).
export default defineConfig({
  testDir: 'e2e',
  outputDir: 'test-results/e2e',
  workers: 1,
  timeout: 90_000,
  expect: { timeout: 15_000 },
  forbidOnly: true,
  reporter: 'list',
  use: {
    viewport: { width: 1440, height: 900 },
    screenshot: 'only-on-failure',
    launchOptions: {
      executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    },
  },
})
