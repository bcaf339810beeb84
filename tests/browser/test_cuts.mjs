// Readings typed while the network is cut and the server killed at random points, two hundred times and
// more: requests that never arrive, answers that get lost on the way back, a server that dies while it
// writes, a page reloaded in mid-flight. At the end every reading typed is in the book once, in the order
// typed. SEED repeats a run; CUTS says how many.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const CUTS = Number(process.env.CUTS ?? 200);
const seed = Number(process.env.SEED ?? Date.now() % 1e9);
const MOST_READINGS = 3 * CUTS;
console.log(`seed ${seed}`);

/** mulberry32: small, and the same everywhere. */
let state = seed;
function draw() {
  state = (state + 0x6d2b79f5) | 0;
  let t = Math.imul(state ^ (state >>> 15), 1 | state);
  t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
  return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('cuts at random points', cutAtRandom);
await stretch('a form whose answer was lost', lostForm);
await workshop.close();
await browser.close();
finish();

async function cutAtRandom() {
  const session = (await workshop.get('/api/today')).lit[0];
  const { code, candle_id } = session.candles[0];
  const before = await mine(session, candle_id);
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  await page.locator('.bench-number').waitFor();

  const cuts = { 'request lost': 0, 'answer lost': 0, 'server killed': 0, 'page reloaded': 0 };
  const total = () => Object.values(cuts).reduce((x, y) => x + y, 0);
  let calm = false;
  let up = Promise.resolve(); // the server is there, or will be
  let down = false;
  let hung = signal(); // a request hangs that only a reload will end
  await page.route('**/api/readings', async (route) => {
    const dice = calm || down ? 1 : draw();
    if (dice < 0.14) {
      cuts['request lost']++;
      await route.abort('connectionreset');
    } else if (dice < 0.28) {
      await route.fetch().catch(() => null);
      cuts['answer lost']++;
      await route.abort('connectionreset');
    } else if (dice < 0.4) {
      down = true;
      const going = route.fetch().catch(() => null);
      await passed(draw() * 6); // the random point: before, while or after it is written
      await workshop.stop('SIGKILL');
      await going;
      cuts['server killed']++;
      up = workshop.start().then(() => { down = false; });
      await route.abort('connectionreset');
    } else if (dice < 0.5) {
      if (draw() < 0.5) await route.fetch().catch(() => null);
      cuts['page reloaded']++;
      hung.give();
    } else await route.continue();
  });

  const typed = [];
  while (total() < CUTS && typed.length < MOST_READINGS) {
    const value = (10 + typed.length / 20).toFixed(2);
    await take(page, code, value);
    typed.push(value);
    // on to the next as soon as the page has it safe: sent, or kept for later
    const pad = page.locator('.pad').waitFor({ state: 'detached' }).then(() => 'closed');
    pad.catch(() => undefined); // of no interest once a reload was asked for
    if ((await Promise.race([pad, hung.given])) === 'hung') {
      await keeps(page, value);
      hung = signal();
      await up;
      await page.reload();
      await page.locator('.bench-number').waitFor();
    }
  }
  await up;
  calm = true;
  await page.getByRole('button', { name: /not yet sent/ }).first().waitFor({ state: 'detached', timeout: 60000 });
  const refused = await page.evaluate(waiting);
  check('none was refused', refused.length === 0, JSON.stringify(refused));
  const after = (await mine(session, candle_id)).slice(before.length);
  const got = after.map((r) => r.value.toFixed(2));
  console.log(`${total()} cuts (${Object.entries(cuts).map(([k, n]) => `${n} ${k}`).join(', ')}), ${typed.length} readings typed, ${got.length} in the book`);
  check(`at least ${CUTS} cuts were made`, total() >= CUTS, `${total()}, seed ${seed}`);
  check('none was lost', typed.every((t) => got.includes(t)), `${typed.filter((t) => !got.includes(t))}, seed ${seed}`);
  check('none is doubled', new Set(got).size === got.length && got.length === typed.length, `${got.length} of ${typed.length}, seed ${seed}`);
  check('they stand in the order typed', got.join() === typed.join(), `seed ${seed}`);
  check('every kind of cut was among them', Object.values(cuts).every((n) => n > 0), JSON.stringify(cuts));
  await putOutOnce(v, session);
  v.quiet('cuts');
  await page.context().close();
}

/** Putting out is a write like another: its answer gets lost, it is sent again, and it happened once. */
async function putOutOnce(v, session) {
  const { page } = v;
  let lost = 0;
  await page.route('**/end', async (route) => {
    if (lost++ > 1) return route.continue();
    await route.fetch();
    return route.abort('connectionreset');
  });
  await page.getByRole('button', { name: 'Put out…' }).click();
  await page.getByRole('button', { name: 'They are out' }).click();
  await page.getByText('Let them rest until').waitFor({ timeout: 30000 });
  await page.locator('.waiting-button').waitFor({ state: 'detached', timeout: 30000 });
  const kept = await workshop.get(`/api/sessions/${session.id}`);
  check('put out once, though the answer was lost twice', kept.open === false && lost === 3 && kept.candles.every((c) => c.ended_at), `${lost} tries`);
}

/** The form is sent, kept, and never hears of it; the page is reloaded and the form sent again. */
async function lostForm() {
  const before = (await workshop.get('/api/containers')).containers.length;
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/shelf/containers/new`);
  await page.getByLabel('Name optional', { exact: true }).fill('Tin, sent twice');
  await page.getByLabel('Made of').selectOption({ index: 1 });
  for (const [label, text] of [['A, inner diameter', '70'], ['B, inner height', '50'], ['C, wall thickness', '1']]) await page.getByLabel(label, { exact: true }).fill(text);
  await page.route('**/api/containers', async (route) => {
    if (route.request().method() !== 'POST') return route.continue();
    await route.fetch();
    return route.abort('connectionreset');
  });
  await page.getByRole('button', { name: 'Keep this container' }).click();
  await page.getByText('What you typed stays here').waitFor();
  await page.unroute('**/api/containers');
  await page.reload();
  await page.getByRole('button', { name: 'Keep this container' }).click();
  await page.waitForURL(/containers\/[0-9a-f-]{36}$/);
  const after = (await workshop.get('/api/containers')).containers.length;
  check('a form sent again after a lost answer and a reload makes one thing', after === before + 1, `${after - before}`);
  await page.context().close();
}

async function mine(session, candle) {
  const { readings } = await workshop.get(`/api/readings?session=${session.id}`);
  return readings.filter((r) => r.candle_id === candle && r.kind === 'flame');
}

async function take(page, code, value) {
  const card = page.locator('.candle', { has: page.locator('h2', { hasText: code }) });
  await card.getByRole('button', { name: /flame height/ }).first().click();
  await page.locator('.pad-show input').fill(value);
  await page.locator('.pad-save').click();
}

/** The browser's own database holds it: from here on a reload may not lose it. */
async function keeps(page, value) {
  for (let tries = 0; tries < 400; tries++) {
    if ((await page.evaluate(waiting)).some((i) => String(i.body.value).startsWith(value))) return;
    await passed(5);
  }
  throw new Error(`${value} was typed and is not kept`);
}

/** In the browser: what its database holds of things typed. */
function waiting() {
  return new Promise((resolve) => {
    const open = indexedDB.open('evenpool-bench');
    open.onsuccess = () => {
      const all = open.result.transaction('outbox').objectStore('outbox').getAll();
      all.onsuccess = () => {
        open.result.close();
        resolve(all.result);
      };
    };
  });
}

function signal() {
  let give;
  const given = new Promise((resolve) => { give = () => resolve('hung'); });
  return { given, give };
}

function passed(ms) {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
