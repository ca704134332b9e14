import { expect, seriousFaults, test } from './server'

test('how a described hand closes: free, around an item, and its grip over sizes', async ({ page }) => {
  await page.goto('/hands/tendon-five/closing?item=sphere&size=60')
  await expect(page.getByRole('heading', { level: 1 })).toContainText('Gauntlet')
  await expect(page.getByText('A picture of a computation')).toBeVisible()
  const command = page.getByRole('slider', { name: /Closing command/ })
  await expect(command).toHaveValue('0.6', { timeout: 30_000 })
  await expect(page.getByRole('heading', { name: 'Free bending against command' })).toBeVisible()
  await expect(page.getByRole('heading', { name: 'Grip on a sphere of 60 mm' })).toBeVisible()

  // The keyboard closes it; the numbers beside the picture follow.
  await command.focus()
  await page.keyboard.press('Home')
  await expect(command).toHaveAttribute('aria-valuetext', '0.00, grip 0.0 N')
  await page.keyboard.press('End')
  await expect(command).toHaveAttribute('aria-valuetext', /^1\.00, grip [1-9]/)
  const grip = page.getByRole('region', { name: /^Grip in N by diameter/ })
  await expect(grip.getByRole('row')).toHaveCount(10)
  expect(await seriousFaults(page)).toEqual([])

  // Air fingers bend against pressure; the choice stands in the address.
  await page.goto('/hands/air-four/closing')
  await expect(page.getByRole('heading', { name: 'Free bending against pressure' })).toBeVisible({
    timeout: 30_000,
  })
  await page.getByLabel('Around', { exact: true }).selectOption('plate')
  await expect(page).toHaveURL(/item=plate/)
  await expect(page.getByRole('heading', { name: 'Grip on a thin plate on edge of 60 mm' })).toBeVisible()

  await page.goto('/hands/no-such-hand/closing')
  await expect(page.getByText('This hand is not described for simulation')).toBeVisible()
})
