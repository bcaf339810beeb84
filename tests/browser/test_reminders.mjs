// Reminders: what is due is said on every page, sounds and buzzes once, at its minute by the workshop's clock:
// after a phone slept, after a reload, after the server was restarted, and while the server is gone.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const MINUTE = 6e4;

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('reminders', run);
await workshop.close();
await browser.close();
finish();

/** In the page: what it sounded and buzzed, instead of doing so. */
function ears() {
  window.tones = 0;
  window.buzzes = [];
  navigator.vibrate = (pattern) => window.buzzes.push(pattern);
  const made = AudioContext.prototype.createOscillator;
  AudioContext.prototype.createOscillator = function tone() {
    window.tones++;
    return made.call(this);
  };
}

function rung(page) {
  return page.evaluate(() => ({ tones: window.tones, buzzes: window.buzzes.length, last: window.buzzes.at(-1) ?? [] }));
}

function iso(ms) {
  return new Date(ms).toISOString().replace(/\.\d+Z$/, 'Z');
}

async function run() {
  const session = await freshlyLit();
  const lit = Date.parse(session.lit_at);
  const [next, later] = session.due_minutes;
  const end = session.planned_h * 60;
  const v = await visit(browser, 'phone');
  await v.page.addInitScript(ears);
  await atItsMinute(v, lit, next);
  await onceOnly(v);
  await asleep(v, lit, later, session);
  await serverGone(v, lit, end);
  await silent(v, lit, end);
  v.muted = true; // the server was away: that it did not answer is in the console
  await v.page.context().close();
}

/** One session and no other: what the demo has burning is put out. */
async function freshlyLit() {
  const post = async (path, body) => (await fetch(workshop.url + path, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) })).json();
  const { lit, ready } = await workshop.get('/api/today');
  for (const s of lit) await post(`/api/sessions/${s.id}/end`, {});
  return post('/api/sessions', { candles: [ready[0].code], planned: '4 h' });
}

/** Untouched it may not sound, and says so; touched it does, five seconds later. */
async function atItsMinute(v, lit, minute) {
  const { page } = v;
  await workshop.restart(iso(lit + minute * MINUTE - 9000));
  await page.goto(workshop.url);
  await page.getByText('Touch the page once so that it may sound').waitFor();
  await page.getByRole('heading', { name: 'Today' }).click();
  await page.getByText('Touch the page once').waitFor({ state: 'detached' });
  await page.getByRole('link', { name: 'Recipes' }).click();
  await page.getByRole('heading', { name: 'Recipes', level: 1 }).waitFor();
  check('nothing is said before its minute', (await page.getByRole('complementary', { name: 'Due at the bench' }).count()) === 0 && (await rung(page)).tones === 0);
  const notice = page.getByRole('complementary', { name: 'Due at the bench' });
  await notice.waitFor({ timeout: 15000 });
  check('the notice stands on a page that is about something else', /^Readings due: [A-Z0-9]{4}/.test(await notice.innerText()), await notice.innerText());
  const { tones, buzzes } = await rung(page);
  check('it sounds and buzzes', tones === 3 && buzzes === 1, `${tones} tones, ${buzzes} buzzes`);
  await v.heard('what is due', /^Readings due: /);
  await v.view('16-due');
  await v.inspectBoth('reading due');
  await notice.getByRole('link').click();
  await page.getByText(/^Take the .* readings$/).waitFor();
  check('the notice leads to the candles', true);
}

async function onceOnly(v) {
  const { page } = v;
  await page.getByRole('link', { name: 'Recipes' }).click();
  await page.reload();
  await page.getByRole('complementary', { name: 'Due at the bench' }).waitFor();
  await page.getByRole('heading', { name: 'Recipes', level: 1 }).click();
  await page.waitForTimeout(2500);
  const { tones, buzzes } = await rung(page);
  check('after a reload the notice stands, and does not ring again', tones === 0 && buzzes === 0, `${tones} tones, ${buzzes} buzzes`);
}

/** A phone in the pocket: its page is frozen over the due minute, and rings when it is woken, by the workshop's time. */
async function asleep(v, lit, minute, session) {
  const { page } = v;
  const wire = await page.context().newCDPSession(page);
  await wire.send('Page.setWebLifecycleState', { state: 'frozen' });
  await workshop.restart(iso(lit + (minute + 7) * MINUTE));
  await new Promise((resolve) => setTimeout(resolve, 1500));
  await wire.send('Page.setWebLifecycleState', { state: 'active' });
  await page.waitForFunction(() => window.buzzes.length > 0, null, { timeout: 25000 }).catch(() => undefined);
  check('woken after its minute, it rings', (await rung(page)).tones === 3, JSON.stringify(await rung(page)));
  await page.getByRole('link', { name: 'Today', exact: true }).last().click();
  await page.locator('.lit-due.now').first().waitFor();
  const told = await page.locator('.lit-due.now').first().innerText();
  check('it says how late it is, by the time of the workshop', /[78]\smin late/.test(told), told);
  const shown = await page.locator('.lit-minute').first().innerText();
  const really = (await workshop.get(`/api/sessions/${session.id}`)).minute;
  check('and the minute is right after the sleep', inMinutes(shown) >= Math.floor(really) - 1 && inMinutes(shown) <= Math.ceil(really), `${shown} for ${really.toFixed(1)} min`);
}

function inMinutes(text) {
  const m = /(?:(\d+)\sh)?\s*(?:(\d+)\smin)?/.exec(text);
  return Number(m[1] ?? 0) * 60 + Number(m[2] ?? 0);
}

/** The planned end comes while the computer is gone: the page has its own clock. */
async function serverGone(v, lit, end) {
  const { page } = v;
  await workshop.restart(iso(lit + end * MINUTE - 12000));
  await page.goto(`${workshop.url}/shelf`);
  await page.getByRole('heading', { name: 'Shelf', level: 1 }).click();
  await page.getByRole('complementary', { name: 'Due at the bench' }).waitFor().catch(() => undefined);
  const before = await rung(page);
  await workshop.stop('SIGKILL');
  await page.getByText(/^Time to put out: /).first().waitFor({ timeout: 20000 });
  const after = await rung(page);
  check('the planned end rings with the server gone, and more urgently', after.tones - before.tones === 5 && after.last[0] === 400, JSON.stringify([before, after]));
}

/** Switched off on this device: the notice stands, nothing sounds. */
async function silent(v, lit, end) {
  const { page } = v;
  await workshop.start(iso(lit + end * MINUTE + 60000));
  await page.getByRole('link', { name: 'Today', exact: true }).last().click();
  await page.getByRole('button', { name: 'Reminders sound and buzz here' }).click();
  await page.getByRole('button', { name: 'Reminders are silent here' }).waitFor();
  await page.evaluate(() => localStorage.removeItem('bench:rung')); // as if no minute had been told yet
  await page.reload();
  await page.getByRole('heading', { name: 'Today', level: 1 }).click();
  await page.getByRole('link', { name: 'Recipes' }).click();
  await page.getByText(/^Time to put out: /).first().waitFor();
  await page.waitForTimeout(1500);
  const { tones, buzzes } = await rung(page);
  check('silent on this device: told, not sounded', tones === 0 && buzzes === 0, `${tones} tones, ${buzzes} buzzes`);
}
