// A reading typed while the server is gone: kept, shown as not yet sent, sent in order once it is back,
// and there once only, over reloads and a server killed without warning.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { enter } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('readings outlive the server', run);
await workshop.close();
await browser.close();
finish();

async function run() {
  const { session, before, code } = await lit();
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  await page.locator('.bench-number').waitFor();

  await workshop.stop('SIGKILL');
  const typed = ['21', '22', '23'];
  for (const text of typed) await takeFlame(v, code, text);
  await page.getByText('3 not yet sent').first().waitFor();
  check('three readings are kept while the server is gone', (await waiting(page)) === 3);
  await page.getByText('no connection').first().waitFor();
  check('the page says that there is no connection', true);
  const shown = await page.locator('.readings .value', { hasText: 'not yet sent' }).count();
  check('each is marked as not yet sent', shown === 3, `${shown}`);
  await v.view('15-not-yet-sent');
  await v.inspect('not yet sent');

  // another page still works from the last answers
  await page.getByRole('link', { name: 'Today', exact: true }).last().click();
  await page.getByRole('heading', { name: 'Today' }).waitFor();
  await page.getByText(/Last known at/).first().waitFor();
  check('pages seen before stay readable', await page.locator('.lit .code').first().isVisible());

  await workshop.start();
  await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  const after = (await workshop.get(`/api/readings?session=${session.id}`)).readings;
  const flames = after.filter((r) => r.code === code && r.kind === 'flame').slice(-3).map((r) => String(r.value));
  check('all arrived once', after.length === before + 3, `${after.length - before} of 3`);
  check('in the order typed', flames.join() === typed.join(), flames.join());
  await reloaded(v, session, code, before + 3);
  await refusedLate(v, session, code, before + 4);
  v.quiet('outbox');
}

/** What waits in the browser's database is still there after the page was closed. */
async function reloaded(v, session, code, count) {
  const { page } = v;
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  await page.locator('.bench-number').waitFor();
  await page.context().route('**/api/readings', (route) => route.abort());
  await takeFlame(v, code, '24');
  await page.getByText('1 not yet sent').first().waitFor();
  await page.reload();
  await page.getByText('1 not yet sent').first().waitFor();
  check('a reload loses nothing', (await waiting(page)) === 1);
  await page.context().unroute('**/api/readings');
  await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  const after = (await workshop.get(`/api/readings?session=${session.id}`)).readings;
  check('after the reload it arrives once', after.length === count + 1, `${after.length} of ${count + 1}`);
}

/** Refused only once the server is back: it waits to be put right and does not hold up the rest. */
async function refusedLate(v, session, code, count) {
  const { page } = v;
  await page.locator('.bench-number').waitFor();
  await workshop.stop();
  await takeFlame(v, code, '900');
  await takeFlame(v, code, '25');
  await page.getByText('2 not yet sent').first().waitFor();
  await workshop.start();
  await page.getByText('1 refused').first().waitFor({ timeout: 30000 });
  const after = (await workshop.get(`/api/readings?session=${session.id}`)).readings;
  check('a late refusal holds up nothing', after.length === count + 1 && after.some((r) => r.value === 25), `${after.length} of ${count + 1}`);
  await page.getByRole('button', { name: 'Put it right' }).click();
  check('the refused text is still there to put right', (await page.locator('.pad-show input').inputValue()) === '900');
  await enter(v, '26');
  await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  const mended = (await workshop.get(`/api/readings?session=${session.id}`)).readings;
  check('put right, it arrives', mended.length === count + 2 && mended.some((r) => r.value === 26), `${mended.length} of ${count + 2}`);
}

async function lit() {
  const { lit: open } = await workshop.get('/api/today');
  const session = open[0];
  const { readings } = await workshop.get(`/api/readings?session=${session.id}`);
  return { session, before: readings.length, code: session.candles[0].code };
}

async function takeFlame(v, code, text) {
  const { page } = v;
  const card = page.locator('.candle', { has: page.locator('h2', { hasText: code }) });
  await card.getByRole('button', { name: /flame height/ }).first().click();
  await page.locator('.pad').waitFor();
  await enter(v, text);
  await page.locator('.pad').waitFor({ state: 'detached' });
}

/** How many entries the browser's own database holds. */
function waiting(page) {
  return page.evaluate(() => new Promise((resolve, reject) => {
    const open = indexedDB.open('evenpool-bench');
    open.onerror = () => reject(open.error);
    open.onsuccess = () => {
      const all = open.result.transaction('outbox').objectStore('outbox').getAll();
      all.onsuccess = () => {
        open.result.close();
        resolve(all.result.length);
      };
    };
  }));
}
