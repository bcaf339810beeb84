// Takes the pictures of this folder from a fresh demo workshop, at a pretended time. Candle codes are new
// each time, everything else changes only when the pages or the engine do.
//   node docs/pictures/take.mjs [program]
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const here = path.dirname(fileURLToPath(import.meta.url));
const root = path.resolve(here, '../..');
const { chromium } = createRequire(path.join(root, 'ui/package.json'))('playwright-core');
const program = process.argv[2] ?? path.join(root, 'build/src/cli/evenpool');

const LAPTOP = { viewport: { width: 1440, height: 900 } };
const PHONE = { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true };

function serve(folder) {
  const child = spawn(program, ['serve', '--demo', '--db', path.join(folder, 'demo.evenpool'), '--port', '0', '--open', 'no',
    '--clock', '2026-03-04T10:40:00Z'], { stdio: ['ignore', 'pipe', 'inherit'] });
  return new Promise((resolve, reject) => {
    let said = '';
    child.stdout.on('data', (piece) => {
      said += piece;
      const at = /http:\/\/\S+/.exec(said);
      if (at) resolve({ child, base: at[0].replace(/\/$/, '') });
    });
    child.on('error', reject);
    child.on('exit', () => reject(new Error(`${program} ended: ${said}`)));
  });
}

async function open(browser, size, address) {
  const context = await browser.newContext({ ...size, locale: 'en-GB', timezoneId: 'UTC', reducedMotion: 'reduce' });
  const page = await context.newPage();
  await page.goto(address);
  await page.locator('h1').first().waitFor();
  return page;
}

const shot = (page, name) => page.screenshot({ path: path.join(here, name) });

/** The recipe, its jar in the middle of its life; then the odds of every size, which take longer. */
async function recipe(browser, base, id) {
  const page = await open(browser, LAPTOP, `${base}/recipes/${id}`);
  await page.locator('#foresee .jar-wax').waitFor();
  const time = page.getByLabel('Time in the life of the candle');
  const last = Number(await time.getAttribute('max'));
  await time.fill(String(Math.round(0.47 * last)));
  await page.evaluate(() => scrollTo(0, document.querySelector('#foresee').getBoundingClientRect().top + scrollY + 8));
  await time.evaluate((slider) => slider.blur());
  await page.waitForTimeout(500);
  await shot(page, 'recipe.png');
  await whatIf(page);
  await page.locator('.odds').first().waitFor({ timeout: 240000 });
  await page.evaluate(() => document.querySelector('#odds').scrollIntoView());
  await page.waitForTimeout(500);
  await shot(page, 'odds.png');
}

/** A jar a good centimetre wider, beside the candle as it stands. */
async function whatIf(page) {
  const wide = page.getByRole('slider', { name: 'Inner diameter at the fill line' });
  await wide.fill(String(Math.round(Number(await wide.inputValue()) + 12)));
  await page.waitForFunction(() => document.querySelector('.wi-state')?.textContent === 'As fine as the forecast.', null, { timeout: 60000 });
  await wide.evaluate((slider) => slider.blur());
  await page.evaluate(() => scrollTo(0, document.querySelector('#what-if').getBoundingClientRect().top + scrollY - 16));
  await shot(page, 'what-if.png');
}

async function proof(browser, base, id) {
  const page = await open(browser, LAPTOP, `${base}/recipes/${id}/proof`);
  await page.locator('h1').waitFor();
  await page.getByRole('heading', { name: 'Candle by candle' }).waitFor();
  await page.getByRole('heading', { name: 'Verdict' }).waitFor();
  await page.waitForTimeout(1500);
  await shot(page, 'proof.png');
}

async function today(browser, base) {
  const page = await open(browser, PHONE, base);
  await page.getByText('Orange kitchen').first().waitFor();
  await shot(page, 'today-phone.png');
}

const folder = mkdtempSync(path.join(tmpdir(), 'evenpool-pictures-'));
const { child, base } = await serve(folder);
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--headless', '--no-sandbox', '--disable-gpu'] });
try {
  const { recipes } = await (await fetch(`${base}/api/recipes`)).json();
  await recipe(browser, base, recipes.find((r) => r.state === 'proven').id);
  await proof(browser, base, recipes.find((r) => r.state === 'proven').id);
  await today(browser, base);
} finally {
  await browser.close();
  child.removeAllListeners('exit');
  child.kill();
  rmSync(folder, { recursive: true, force: true });
}
