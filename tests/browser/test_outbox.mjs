// A reading typed while the server is gone: kept, shown as not yet sent, sent in order once it is back,
// and there once only, over reloads and a server killed without warning. What two of them say otherwise of one
// moment is kept twice, shown as a conflict, and settled by one press.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { enter } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('readings outlive the server', run);
await stretch('two that were away say otherwise', conflict);
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

/** Two benches are away and read the same flame: both readings arrive, both are shown, one press keeps one. */
async function conflict() {
  const { session, before, code } = await lit();
  const visits = [await visit(browser, 'phone'), await visit(browser, 'laptop')];
  for (const { page } of visits) {
    await page.goto(`${workshop.url}/sessions/${session.id}`);
    await page.locator('.bench-number').waitFor();
  }
  await workshop.stop();
  const minute = '7';
  const said = ['20', '27'];
  const asks = (page) => page.getByRole('group', { name: /^Conflict/ }).filter({ hasText: 'at 7 min' });
  for (const [i, v] of visits.entries()) {
    await takeFlame(v, code, said[i], minute);
    await v.page.getByText('1 not yet sent').first().waitFor();
  }
  await workshop.start();
  for (const { page } of visits) await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  const after = await workshop.get(`/api/readings?session=${session.id}`);
  check('what both wrote is kept', after.readings.length === before + 2, `${after.readings.length - before} of 2`);
  const both = (text) => /as 20\smm/.test(text) && /as 27\smm/.test(text);
  const known = (answer) => answer.conflicts.find((c) => c.minute === Number(minute));
  check('the door tells the conflict', both(known(after)?.text ?? ''), JSON.stringify(after.conflicts));
  for (const { page, name } of visits) {
    const told = asks(page);
    await told.waitFor();
    const text = await told.innerText();
    check(`${name}: the page says both and which one counts`, both(text) && /27\smm counts/.test(text), text);
  }
  const [v, other] = visits;
  await asks(v.page).scrollIntoViewIfNeeded();
  await v.view('16-conflict');
  await v.inspect('conflict');
  await v.page.getByRole('button', { name: 'Keep 20 mm' }).click();
  for (const { page } of visits) await asks(page).waitFor({ state: 'detached' });
  const settled = await workshop.get(`/api/readings?session=${session.id}`);
  const at = (value) => settled.readings.find((r) => r.kind === 'flame' && r.code === code && r.minute === Number(minute) && r.value === value);
  check('settled by one press, nothing removed', !known(settled) && settled.readings.length === before + 2);
  check('the other gave way to the one kept', at(27).corrected_by === at(20).id && at(20).corrected_by === null);
  await correctedTwice(v, other, session, code);
  for (const one of visits) one.quiet('conflict');
}

/** Both correct the same reading while away: the second is refused in words and may replace what holds now. */
async function correctedTwice(v, other, session, code) {
  await workshop.stop();
  for (const [one, text] of [[v, '21'], [other, '22']]) {
    const all = one.page.getByRole('button', { name: /^All \d+ readings$/ });
    if (await all.count()) await all.click();
    const row = one.page.locator('.readings tr', { hasText: code }).filter({ hasText: 'flame height' }).filter({ hasText: '20 mm' }).filter({ hasText: '7 min' });
    await row.getByRole('button', { name: /correct/ }).first().click();
    await enter(one, text);
    await one.page.getByText('1 not yet sent').first().waitFor();
  }
  await workshop.start();
  const refused = (one) => one.page.locator('.refused', { hasText: 'was corrected already' });
  for (const { page } of [v, other]) await page.waitForFunction(() => !/not yet sent/.test(document.querySelector('.waiting-button')?.textContent ?? ''), null, { timeout: 30000 });
  const second = (await refused(v).count()) ? v : other;
  const told = await refused(second).innerText();
  check('the second correction is refused in words', /from 20\smm to 2[12]\smm/.test(told) && !/[0-9a-f]{8}-/.test(told), told);
  await second.page.getByRole('button', { name: /^Replace 2[12]\smm by 2[12]\smm$/ }).click();
  await refused(second).waitFor({ state: 'detached' });
  const now = (await workshop.get(`/api/readings?session=${session.id}`)).readings.filter((r) => r.code === code && r.kind === 'flame' && r.minute === 7 && !r.corrected_by);
  check('one press puts it on the one that holds', now.length === 1 && now[0].value === (second === v ? 21 : 22), JSON.stringify(now));
}

async function lit() {
  const { lit: open } = await workshop.get('/api/today');
  const session = open[0];
  const { readings } = await workshop.get(`/api/readings?session=${session.id}`);
  return { session, before: readings.length, code: session.candles[0].code };
}

async function takeFlame(v, code, text, minute = '') {
  const { page } = v;
  const card = page.locator('.candle', { has: page.locator('h2', { hasText: code }) });
  await card.getByRole('button', { name: /flame height/ }).first().click();
  await page.locator('.pad').waitFor();
  if (minute) {
    await page.getByRole('button', { name: /change the minute/ }).click();
    await page.getByLabel('Minute after lighting').fill(minute);
  }
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
