// A phone is let into the workshop: code and picture at the computer, name and digits on the phone,
// digits typed at the computer; then the phone works at the bench and may not decide; shut out, it is
// out at once and keeps nothing of what it was told. The phone comes in by the machine's own network address; without one nothing is tried.
import { networkInterfaces } from 'node:os';
import { answersKept, check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const network = Object.values(networkInterfaces()).flat().some((a) => a.family === 'IPv4' && !a.internal);
const browser = await launch();
if (network) await stretch('a phone is paired', run);
else console.log('no network here: pairing is left out');
await browser.close();
finish();

async function run() {
  const workshop = new Workshop({ demo: true, lan: true });
  await workshop.start();
  const desk = await visit(browser, 'laptop');
  const phone = await visit(browser, 'phone');
  try {
    const address = await invited(desk, workshop);
    if (!address) return console.log('no address a phone would reach: pairing is left out');
    await turnedAway(phone, address);
    await asked(phone, desk, address);
    await atTheBench(phone, workshop, address);
    await shutOut(phone, desk);
    desk.quiet('pairing');
    phone.quiet('pairing');
  } finally {
    await workshop.close();
  }
}

async function invited(desk, workshop) {
  const { page } = desk;
  await page.goto(`${workshop.url}/settings`);
  await page.getByRole('button', { name: 'Make a code for a device' }).click();
  await page.locator('.invite img, .notice.warn').first().waitFor();
  if (!(await page.locator('.invite-urls .path').count())) return null;
  await desk.inspect('invitation');
  const address = await page.locator('.invite-urls .path').first().innerText();
  check('the code stands behind the #, where it is sent to nobody', /^http:\/\/[\d.]+:\d+\/pair#.{16,}$/.test(address), address);
  return address;
}

/** Before it is let in, no page of the workshop opens for it. */
async function turnedAway(phone, address) {
  const { page } = phone;
  await page.goto(new URL('/recipes', address).href);
  await page.getByRole('heading', { name: 'Let this device in' }).waitFor();
  await page.getByText('A code is needed').waitFor();
  const answer = await page.evaluate(() => fetch('/api/recipes').then((r) => r.status));
  check('a device not let in reads nothing', answer === 401 || answer === 403, String(answer));
}

async function asked(phone, desk, address) {
  await phone.page.goto(address);
  await phone.page.getByLabel('What is this device called?').fill('Phone of the test');
  check('the code is out of the address bar', !phone.page.url().includes('#'), phone.page.url());
  await phone.page.getByRole('button', { name: 'Ask to be let in' }).click();
  const shown = phone.page.locator('.pair-number');
  await shown.waitFor();
  await phone.inspect('waiting to be let in');
  const digits = (await shown.innerText()).replace(/\D/g, '');
  const card = desk.page.locator('.device-asks', { hasText: 'Phone of the test' });
  await card.waitFor();
  const wrong = digits === '111111' ? '222222' : '111111';
  await card.getByRole('textbox').fill(wrong);
  await card.locator('button[type="submit"]').click();
  await card.locator('.field-problem, .form-problem p').first().waitFor();
  check('wrong digits let nobody in', (await desk.page.locator('.devices li', { hasText: 'Phone of the test' }).count()) === 0);
  await card.getByRole('textbox').fill(digits);
  await card.locator('button[type="submit"]').click();
  await phone.page.getByRole('heading', { name: 'Today' }).waitFor();
  check('the right ones open Today on the phone by itself', true);
  await desk.page.locator('.devices li', { hasText: 'Phone of the test' }).waitFor();
}

async function atTheBench(phone, workshop, address) {
  const { page } = phone;
  const { lit } = await workshop.get('/api/today');
  await page.goto(new URL(`/sessions/${lit[0].id}`, address).href);
  await page.locator('.bench-number').waitFor();
  const post = (path, body) => page.evaluate(([p, b]) => fetch(p, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(b) }).then((r) => r.status), [path, body]);
  const reading = await post('/api/readings', { session: lit[0].id, candle: lit[0].candles[0].code, kind: 'flame', value: '22 mm' });
  check('a bench phone writes readings', reading === 200, String(reading));
  const { recipes } = await workshop.get('/api/recipes');
  const decided = await post(`/api/recipes/${recipes[0].id}/decide`, { decision: 'rejected' });
  check('a bench phone may not decide', decided === 403, String(decided));
  await page.goto(new URL('/settings#devices', address).href);
  await page.getByText('This device came in by plain http').waitFor();
  await page.locator('.kept-pages').evaluate((e) => e.scrollIntoView({ block: 'center' }));
  await phone.view('kept-pages-http');
  await phone.inspect('pages not kept');
  check('a phone by plain http is told that its pages do not open while the computer is away', await page.evaluate(() => !isSecureContext && !('serviceWorker' in navigator)));
}

async function shutOut(phone, desk) {
  const row = desk.page.locator('.devices li', { hasText: 'Phone of the test' });
  const known = await answersKept(phone.page);
  await row.getByRole('button', { name: /Shut it out/ }).click();
  await row.getByRole('button', { name: /Shut Phone of the test out now/ }).click();
  await row.waitFor({ state: 'detached' });
  const status = await phone.page.evaluate(() => fetch('/api/today').then((r) => r.status));
  check('shut out, the phone reads nothing more', status === 401 || status === 403, String(status));
  await phone.page.getByRole('heading', { name: 'Let this device in' }).waitFor({ timeout: 30000 });
  check('what was open on it closes by itself', (await phone.page.locator('.limits').count()) === 0);
  const left = await answersKept(phone.page);
  check('and nothing it was told stays on it', known > 3 && left === 0, `${left} of ${known}`);
  await phone.view('shut-out');
}
