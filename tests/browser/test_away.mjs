// The workshop computer is gone: pages seen before open, candles are lit, read and put out, and a slip in a
// round is undone; all of it arrives once and in order when the computer is back. The demo is invented.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { asked, enter, pad, press, takeFlame, takeRound } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('pages open without the computer', pagesStay);
await stretch('candles are lit without the computer', lighting);
await stretch('a lighting that is refused late', refusedLate);
await stretch('undo in a round', undo);
await workshop.close();
await browser.close();
finish();

function way(page, name) {
  return page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name });
}

/** Everything typed is in the book. */
function arrived(page) {
  return page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 })
    .catch(async () => { throw new Error(`still waiting: ${await page.evaluate(() => [...document.querySelectorAll('.waiting')].map((e) => { e.querySelector('button')?.click(); return e.innerText; }).join())} ${await page.locator('.waiting').innerText()}`); });
}

async function pagesStay() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(workshop.url);
  const pages = { Recipes: '.ledger-row', Pours: '.ledger', Shelf: '.ledger', Settings: '.limits' };
  for (const [name, has] of Object.entries(pages)) {
    await way(page, name).click();
    await page.locator(`main ${has}`).first().waitFor();
  }
  await workshop.stop('SIGKILL');
  for (const [name, has] of Object.entries(pages)) {
    await way(page, name).click();
    await page.getByRole('heading', { name, level: 1 }).waitFor();
    await page.locator(`main ${has}`).first().waitFor();
    check(`${name} opens as it was last seen`, await page.locator(`main ${has}`).first().isVisible());
  }
  await page.getByText('no connection').first().waitFor({ timeout: 30000 });
  check('the top line says that there is no connection', true);
  await v.inspectBoth('no connection');
  await way(page, 'Recipes').click();
  await page.locator('.ledger-row').first().click(); // never opened before
  await page.getByRole('alert').getByText('The workshop computer does not answer').waitFor();
  await v.view('17-away');
  await v.inspectBoth('away');
  await workshop.start();
  await press(v, 'Try again');
  await page.locator('.jump').waitFor();
  check('what was never seen says so, and opens once the computer is back', true);
  await page.context().close();
}

/** From Today, with nothing but what was asked for ahead: light, read, put out; then the computer comes back. */
async function lighting() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  const { ready } = await workshop.get('/api/today');
  const sessionsBefore = (await workshop.get('/api/sessions?limit=500')).sessions.length;
  const { code, id: candle } = ready[0];
  const askedAhead = page.waitForResponse(/\/api\/candles$/);
  await page.goto(workshop.url);
  await page.getByRole('link', { name: 'Light candles' }).waitFor();
  await askedAhead;
  await page.waitForTimeout(300); // until it is kept
  await workshop.stop('SIGKILL');
  await page.getByRole('link', { name: 'Light candles' }).click();
  await page.getByRole('checkbox', { name: new RegExp(`^${code},`) }).check();
  await page.getByLabel(`Mass of ${code} optional`, { exact: true }).fill('400');
  await page.getByLabel('Burn for optional', { exact: true }).fill('3');
  const pressed = Date.now();
  await press(v, 'Light 1 candle now');
  await page.waitForURL(/\/sessions\/[0-9a-f-]{36}$/);
  const id = new URL(page.url()).pathname.split('/').pop();
  await page.getByRole('heading', { name: 'Burning', level: 1 }).waitFor();
  await page.getByText('1 not yet sent').first().waitFor();
  check('lit without the computer, its sheet opens at minute nought', /^0\smin|^nought|^0/.test(await page.locator('.bench-number').innerText()), await page.locator('.bench-number').innerText());
  await takeFlame(v, code, '19');
  await page.getByText('2 not yet sent').first().waitFor();
  await v.view('18-lit-away');
  await v.inspectBoth('lit, not yet sent');
  await way(page, 'Today').click();
  const here = page.getByRole('region', { name: /^Lit since/ }).filter({ hasText: code });
  await here.waitFor();
  check('today says that it burns, and does not offer it again', (await page.locator('.codes .code', { hasText: code }).count()) === 0);
  await here.getByRole('link', { name: /Open the session|Take them now/ }).click();
  await press(v, 'Put out…');
  await press(v, 'They are out');
  await page.getByText('3 not yet sent').first().waitFor();
  await way(page, 'Today').click();
  await page.getByRole('heading', { name: 'Today', level: 1 }).waitFor();
  await here.waitFor({ state: 'detached' });
  check('put out without the computer, it is no longer said to burn', true);
  await workshop.start();
  await putRight(v, code);
  await arrived(page);
  const kept = await workshop.get(`/api/sessions/${id}`);
  check('the session is in the book, lit when it was lit', Math.abs(Date.parse(kept.lit_at) - pressed) < 5000 && kept.planned_h === 3, `${kept.lit_at} for ${new Date(pressed).toISOString()}`);
  check('with its candle, mass and reading, and it is out', kept.candles.length === 1 && kept.candles[0].candle_id === candle && kept.candles[0].before_g === 150 &&
    kept.readings.filter((r) => r.kind === 'flame' && r.value === 19).length === 1 && kept.open === false, JSON.stringify(kept.candles));
  check('once', (await workshop.get('/api/sessions?limit=500')).sessions.length === sessionsBefore + 1);
  await page.context().close();
}

/** The mass was a slip, and the door says so only now: what was read since waits until the lighting is put right. */
async function putRight(v, code) {
  const { page } = v;
  await page.getByRole('button', { name: /1 refused/ }).click();
  const list = page.locator('.waiting-list');
  check('what was read since waits for its lighting', (await list.getByText('waits for its lighting').count()) === 2, await list.innerText());
  await v.inspectBoth('lighting refused, readings waiting');
  await list.getByRole('link', { name: 'put it right' }).click();
  await page.getByText('This lighting was refused').waitFor();
  const mass = page.getByLabel(`Mass of ${code} optional`, { exact: true });
  check('all that was typed stands in the form again', /^400/.test(await mass.inputValue()) && /^3/.test(await page.getByLabel('Burn for optional', { exact: true }).inputValue()));
  await mass.fill('900');
  await press(v, 'Light 1 candle now');
  await page.locator('.field-problem').first().waitFor();
  check('refused once more, it says so at the field', /900/.test(await page.locator('.field-problem').first().innerText()), await page.locator('.field-problem').first().innerText());
  await mass.fill('150');
  await press(v, 'Light 1 candle now');
}

/** Lit at another bench meanwhile: said, and nothing else is held up. */
async function refusedLate() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  const { ready, resting, curing } = await workshop.get('/api/today');
  const { code, id: candle } = [...ready, ...curing, ...resting][0];
  await page.goto(`${workshop.url}/light`);
  await page.getByRole('checkbox', { name: new RegExp(`^${code},`) }).check();
  await page.context().route('**/api/sessions', (route) => route.abort());
  await press(v, 'Light 1 candle now');
  await page.getByText('1 not yet sent').first().waitFor();
  const lit = await fetch(`${workshop.url}/api/sessions`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ candles: [candle] }) });
  check('another bench lights the same candle', lit.ok, `${lit.status}`);
  await page.context().unroute('**/api/sessions');
  await page.getByText('1 refused').first().waitFor({ timeout: 30000 });
  await page.getByRole('button', { name: '1 refused' }).click();
  check('the refusal says why', /lit already/.test(await page.locator('.waiting-list').innerText()), await page.locator('.waiting-list').innerText());
  await v.inspectBoth('lighting refused');
  await page.getByRole('button', { name: `discard Light ${code}` }).click();
  await arrived(page);
  await v.focusIs('the focus is on the page after what had it is gone', (e) => e !== document.body);
  await page.context().close();
}

/** One tap too many in a round: the last value is taken back and corrected, with the computer there and without. */
async function undo() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  const session = (await workshop.get('/api/today')).lit[0];
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  for (const away of [false, true]) {
    if (away) await workshop.stop('SIGKILL');
    await takeRound(v);
    while ((await asked(v)) !== 'flame height') await press(v, 'Skip');
    const code = (await page.locator('.pad-candle strong').innerText()).trim();
    const [slip, meant] = away ? ['31', '27'] : ['30', '26'];
    await enter(v, slip);
    await pad(v).getByRole('button', { name: `Undo ${slip} mm` }).click();
    await pad(v).getByRole('heading', { name: 'Correct: flame height' }).waitFor();
    check(`undo brings the value back to be put right${away ? ', not yet sent' : ''}`, (await pad(v).getByRole('textbox').first().inputValue()) === slip);
    await enter(v, meant);
    await press(v, 'Close');
    if (away) await workshop.start();
    await arrived(page);
    const own = (await workshop.get(`/api/readings?session=${session.id}`)).readings.filter((r) => r.code === code && r.kind === 'flame');
    const [old, put] = [own.find((r) => r.value === Number(slip)), own.find((r) => r.value === Number(meant))];
    check(`the slip stays in the book, corrected by what was meant${away ? ', sent later' : ''}`, Boolean(old && put) && old.corrected_by === put.id && put.corrects === old.id, JSON.stringify(own.slice(-2)));
  }
  await page.context().close();
}
