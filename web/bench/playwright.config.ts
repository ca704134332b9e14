import { defineConfig } from '@playwright/test'

export default defineConfig({
  testDir: '.',
  testMatch: 'repaint.ts',
  reporter: 'line',
  workers: 1,
  timeout: 120_000,
  outputDir: '../test-results/bench',
  use: {
    viewport: { width: 1024, height: 800 },
    launchOptions: { executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox'] },
  },
})
