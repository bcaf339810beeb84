// Every kind of page while its answer is on the way, when the door has a fault, and when the thing is not there:
// a page all the same, with a title, accessible by axe's rules in light and dark. The demo is invented.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { placesOf } from './lib/places.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
const KINDS = ['today', 'recipes', 'recipe-proven', 'proof-proven', 'light', 'bench', 'pours', 'pour', 'shelf', 'container-new', 'settings'];
const pages = Object.fromEntries(Object.entries(await placesOf(workshop)).filter(([name]) => KINDS.includes(name)));
for (const size of ['phone', 'laptop']) {
  await stretch(`${size}: loading`, () => held(size));
  await stretch(`${size}: an answer that comes late`, () => late(size));
  await stretch(`${size}: one of several has come`, () => partly(size));
  await stretch(`${size}: a fault of the server`, () => faulty(size));
  await stretch(`${size}: not there`, () => missing(size));
}
await workshop.close();
await browser.close();
finish();

/** No answer yet but the settings, without which no page is drawn. */
async function held(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const waiting = [];
  await page.context().route(/\/api\/(?!settings|meta|events|today$)/, (route) => waiting.push(route));
  for (const [name, path] of Object.entries(pages).filter(([n]) => n !== 'today' && n !== 'settings')) {
    await page.goto(workshop.url + path);
    await page.getByRole('status').filter({ hasText: '…' }).first().waitFor();
    await v.inspectBoth(`${name} loading`);
    if (name === 'recipe-proven') await v.view('20-loading');
  }
  await Promise.all(waiting.map((r) => r.abort().catch(() => undefined)));
  await page.context().close();
}

/** What arrives above what has the focus must not push it out of the window. */
async function late(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const waiting = [];
  await page.context().route(/\/(forecast|plan|odds)\b/, (route) => waiting.push(route));
  await page.goto(workshop.url + pages['recipe-proven']);
  await page.locator('#foresee').getByRole('status').first().waitFor();
  const below = () => page.evaluate(() => {
    const at = document.activeElement;
    const foresee = document.getElementById('foresee').getBoundingClientRect();
    return at !== document.body && at.closest('main') && at.getBoundingClientRect().top >= foresee.bottom;
  });
  for (let n = 0; n < 60 && !(await below()); n++) await page.keyboard.press('Tab');
  check(`${size}: something below the forecast has the focus`, await below());
  await page.context().unroute(/\/(forecast|plan|odds)\b/);
  await Promise.all(waiting.map((r) => r.continue().catch(() => undefined)));
  await page.locator('.jar').first().waitFor();
  await page.waitForTimeout(500);
  check(`${size}: and stays in sight when the forecast arrives above it`, await page.evaluate(() => {
    const box = document.activeElement.getBoundingClientRect();
    return document.activeElement !== document.body && box.bottom > 0 && box.top < innerHeight;
  }));
  await page.context().close();
}

/** Sizes side by side while the first is drawn and the others still burn. */
async function partly(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const waiting = [];
  let first = null;
  await page.context().route(/\/forecast\b/, (route) => {
    const wick = new URL(route.request().url()).searchParams.get('wick');
    first ??= wick;
    return wick === first ? route.continue() : waiting.push(route);
  });
  await page.goto(workshop.url + pages['recipe-proven']);
  await page.locator('#side-by-side .jar').first().waitFor();
  check(`${size}: the others say that they are still burning`, (await page.locator('#side-by-side .jars-wait').count()) === 2);
  await page.locator('#side-by-side').scrollIntoViewIfNeeded();
  await v.inspectBoth('one of three sizes has come');
  await v.view('22-partly');
  await Promise.all(waiting.map((r) => r.abort().catch(() => undefined)));
  await page.context().close();
}

async function faulty(size) {
  const v = await visit(browser, size);
  const { page } = v;
  await page.context().route(/\/api\/(?!settings|meta|events)/, (route) => route.fulfill({ status: 400, contentType: 'application/json', body: JSON.stringify({ error: { status: 'fault', text: 'The disk is full; nothing was changed.' } }) }));
  for (const [name, path] of Object.entries(pages).filter(([n]) => n !== 'settings')) {
    await page.goto(workshop.url + path);
    await page.getByRole('alert').filter({ hasText: 'That did not work' }).first().waitFor();
    check(`${v.name} ${name}: a fault is told in its own words, with a way to try again`, /The disk is full/.test(await page.locator('main').innerText()) && (await page.getByRole('button', { name: 'Try again' }).count()) > 0);
    await v.inspectBoth(`${name} fault`);
    if (name === 'bench') await v.view('21-fault');
  }
  await page.context().close();
}

/** An address of something that never was: a page that says so, with the ways to go. */
async function missing(size) {
  const v = await visit(browser, size);
  const { page } = v;
  for (const room of ['recipes', 'sessions', 'pours', 'shelf/containers', 'shelf/series', 'shelf/materials']) {
    await page.goto(`${workshop.url}/${room}/01a22633-1de7-784d-867d-92e061fd60df`);
    await page.getByRole('alert').waitFor();
    await v.inspectBoth(`${room} not there`);
  }
  await page.context().close();
}
