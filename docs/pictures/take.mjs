// Takes the pictures of this folder from a fresh demo workshop, at a pretended time; for the bench a fortnight later, when four
// candles can be lit together. Candle codes are new each time, everything else changes only when the pages or the engine do.
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

const FIRST = '2026-03-04T10:40:00Z';
const LATER = '2026-03-20T10:40:00Z';
const LIT_AT = '2026-03-20T09:33:00Z'; // the readings of the first hour are due

function serve(folder, clock) {
  const child = spawn(program, ['serve', '--demo', '--db', path.join(folder, 'demo.evenpool'), '--port', '0', '--open', 'no',
    '--assets', path.join(root, 'ui/dist'), '--clock', clock], { stdio: ['ignore', 'pipe', 'inherit'] });
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

/** One page at a time: each holds connections, and the program takes so many from one address. */
async function open(browser, size, address, colorScheme = 'light') {
  for (const before of browser.contexts()) await before.close();
  const context = await browser.newContext({ ...size, colorScheme, locale: 'en-GB', timezoneId: 'UTC', reducedMotion: 'reduce' });
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
  await page.emulateMedia({ colorScheme: 'dark' });
  await page.waitForTimeout(500);
  await shot(page, 'recipe-dark.png');
  await page.emulateMedia({ colorScheme: 'light' });
  await whatIf(page);
  await page.locator('.odds').first().waitFor({ timeout: 1200000 });
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

/** Three wicks in one container, drawn from above, where the recipe is written. */
async function above(browser, base) {
  const page = await open(browser, LAPTOP, `${base}/recipes/new`);
  const jar = page.getByRole('combobox', { name: 'Container', exact: true });
  await jar.selectOption({ index: 1 });
  await page.getByLabel('Wicks in the jar').fill('3');
  await page.locator('.place-wicks .above svg').waitFor();
  await page.evaluate(() => scrollTo(0, document.querySelector('.place-wicks').getBoundingClientRect().top + scrollY - 330));
  await page.evaluate(() => document.activeElement?.blur());
  await shot(page, 'wicks-from-above.png');
}

const post = async (address, body) => {
  const answer = await fetch(address, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
  if (!answer.ok) throw new Error(`${address}: ${await answer.text()}`);
  return answer.json();
};

/** Four candles lit for an hour, their readings being typed. */
async function bench(browser, base) {
  const today = await (await fetch(`${base}/api/today`)).json();
  for (const s of today.lit) await post(`${base}/api/sessions/${s.id}/end`, { at: '2026-03-04T12:33:00Z' });
  const ready = (await (await fetch(`${base}/api/today`)).json()).ready.slice(0, 4).map((c) => c.id);
  const session = await post(`${base}/api/sessions`, { candles: ready, planned: '4 h', lit_at: LIT_AT });
  for (const [name, size, scheme] of [['bench', LAPTOP, 'light'], ['bench-dark', LAPTOP, 'dark'], ['bench-phone', PHONE, 'light']]) {
    const page = await open(browser, size, `${base}/sessions/${session.id}`, scheme);
    await page.getByRole('button', { name: /^Take .*readings$/ }).click();
    const pad = page.locator('.pad');
    await pad.getByRole('textbox').waitFor();
    for (const key of ['2', '4']) await pad.getByRole('button', { name: key, exact: true }).click();
    await page.waitForTimeout(300);
    await shot(page, `${name}.png`);
  }
}

async function proof(browser, base, id) {
  const page = await open(browser, LAPTOP, `${base}/recipes/${id}/proof`);
  await page.locator('h1').waitFor();
  await page.getByRole('heading', { name: 'Candle by candle' }).waitFor();
  await page.getByRole('heading', { name: 'Verdict' }).waitFor();
  await page.waitForTimeout(1500);
  await shot(page, 'proof.png');
}

/** The same recipe where it is mostly looked at: the jar with its flame, on a phone. */
async function recipeOnPhone(browser, base, id) {
  const page = await open(browser, PHONE, `${base}/recipes/${id}`);
  const time = page.getByLabel('Time in the life of the candle');
  await time.waitFor();
  await time.fill(String(Math.round(0.47 * Number(await time.getAttribute('max')))));
  await time.evaluate((slider) => slider.blur());
  await page.evaluate(() => scrollTo(0, document.querySelector('#foresee').getBoundingClientRect().top + scrollY - 8));
  await page.waitForTimeout(500);
  await shot(page, 'recipe-phone.png');
}

async function today(browser, base) {
  const page = await open(browser, PHONE, base);
  await page.getByText('Orange kitchen').first().waitFor();
  await shot(page, 'today-phone.png');
}

/** What is pictured while the program serves the folder at that time. */
async function during(folder, clock, take) {
  const { child, base } = await serve(folder, clock);
  const over = new Promise((resolve) => child.on('close', resolve));
  try {
    await take(base);
  } finally {
    child.removeAllListeners('exit');
    child.kill();
    await over;
  }
}

const folder = mkdtempSync(path.join(tmpdir(), 'evenpool-pictures-'));
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--headless', '--no-sandbox', '--disable-gpu'] });
try {
  await during(folder, FIRST, async (base) => {
    const { recipes } = await (await fetch(`${base}/api/recipes`)).json();
    const { id } = recipes.find((r) => r.state === 'proven');
    await today(browser, base);
    await above(browser, base);
    await recipe(browser, base, id);
    await recipeOnPhone(browser, base, id);
    await proof(browser, base, id);
  });
  await during(folder, LATER, (base) => bench(browser, base));
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
