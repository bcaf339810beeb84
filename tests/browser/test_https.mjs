// A phone comes in encrypted: it is led to the page that says how, refuses the workshop until it trusts
// its authority, is let in, and writes a reading at the bench; its pages open while the computer is away,
// and hold nothing any more once it was shut out. The browser learns to trust as on any
// desktop, by the list of certificates of its owner (certutil of libnss3-tools).
import { execFileSync } from 'node:child_process';
import { X509Certificate } from 'node:crypto';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { networkInterfaces, tmpdir } from 'node:os';
import path from 'node:path';
import { answersKept, check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { enter } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const network = Object.values(networkInterfaces()).flat().some((a) => a.family === 'IPv4' && !a.internal);
const home = mkdtempSync(path.join(tmpdir(), 'evenpool-home-'));
if (network) await stretch('a phone comes in by https', run);
else console.log('no network here: https is left out');
rmSync(home, { recursive: true, force: true });
finish();

async function until(holds, ms = 10000) {
  for (const end = Date.now() + ms; Date.now() < end; await new Promise((go) => setTimeout(go, 100))) if (await holds()) return true;
  return false;
}

function trust(der) {
  const list = path.join(home, '.pki/nssdb');
  mkdirSync(list, { recursive: true });
  writeFileSync(path.join(home, 'authority.crt'), der);
  execFileSync('certutil', ['-N', '-d', `sql:${list}`, '--empty-password']);
  execFileSync('certutil', ['-A', '-d', `sql:${list}`, '-t', 'C,,', '-n', 'workshop', '-i', path.join(home, 'authority.crt')]);
}

async function run() {
  const workshop = new Workshop({ demo: true, lan: true, tls: true });
  await workshop.start();
  const wary = await launch({ home });
  let trusting = null;
  try {
    const desk = await visit(wary, 'laptop');
    const told = await atTheDesk(desk, workshop);
    const der = await beforeTrust(await visit(wary, 'phone'), told);
    trust(der);
    trusting = await launch({ home });
    const phone = await visit(trusting, 'phone');
    await comesIn(phone, desk, workshop);
    await away(phone, workshop);
    await shutOut(phone, desk, workshop);
    phone.quiet('https, away');
    desk.quiet('https');
  } finally {
    await trusting?.close();
    await wary.close();
    await workshop.close();
  }
}

/** What the computer shows: where to go first, and the number to compare. */
async function atTheDesk(desk, workshop) {
  const { page } = desk;
  await page.goto(`${workshop.url}/settings`);
  await page.getByText('it must trust this workshop’s certificate').waitFor();
  await page.locator('.fingerprint').waitFor();
  await desk.inspect('trust');
  await page.locator('.fingerprint').scrollIntoViewIfNeeded();
  await desk.view('trust');
  const url = await page.locator('.invite-urls .path').first().innerText();
  check('the first picture leads to a page by plain http', /^http:\/\/[\d.]+:\d+\/trust$/.test(url), url);
  return { url, number: (await page.locator('.fingerprint').innerText()).replace(/\s+/g, ':') };
}

async function beforeTrust(phone, { url, number }) {
  const { page } = phone;
  await page.goto(url);
  await page.getByRole('heading', { name: 'Before this device comes in' }).waitFor();
  await phone.inspect('before trust');
  await phone.shot('before-trust');
  const scripts = await page.locator('script').count();
  check('the page before trust runs no script', scripts === 0, String(scripts));
  const answer = await fetch(new URL('/evenpool-authority.crt', url));
  const der = Buffer.from(await answer.arrayBuffer());
  check('its certificate has the number the computer shows', new X509Certificate(der).fingerprint256 === number, number);
  const https = await page.locator('.go').getAttribute('href');
  const refused = await page.goto(https).then(() => 'opened', (e) => String(e.message));
  check('before that the browser refuses the workshop', /ERR_CERT_AUTHORITY_INVALID/.test(refused), refused);
  phone.complaints.length = 0; // the refusal is what was wanted
  return der;
}

async function comesIn(phone, desk, workshop) {
  const { page } = phone;
  await desk.page.getByRole('button', { name: 'Make a code for a device' }).click();
  await desk.page.locator('.invite-left').waitFor();
  await desk.page.locator('.invite-left').scrollIntoViewIfNeeded();
  await desk.view('invite-https');
  const address = await desk.page.locator('.path', { hasText: '/pair#' }).first().innerText();
  check('the code is in an address by https', /^https:\/\/[\d.]+:\d+\/pair#.{16,}$/.test(address), address);
  await page.goto(address);
  check('with trust it opens, and the page may do what encrypted pages may', await page.evaluate(() => isSecureContext && 'wakeLock' in navigator));
  await page.getByLabel('What is this device called?').fill('Phone of the test');
  await page.getByRole('button', { name: 'Ask to be let in' }).click();
  const digits = (await page.locator('.pair-number').innerText()).replace(/\D/g, '');
  const card = desk.page.locator('.device-asks', { hasText: 'Phone of the test' });
  await card.getByRole('textbox').fill(digits);
  await card.locator('button[type="submit"]').click();
  await page.getByRole('heading', { name: 'Today' }).waitFor();
  const [cookie] = await page.context().cookies();
  check('its cookie is for encrypted pages alone', cookie.secure && cookie.httpOnly && cookie.sameSite === 'Strict' && cookie.name.startsWith('__Host-'), JSON.stringify({ ...cookie, value: '' }));
  await reads(phone, workshop, address);
  phone.quiet('https');
}

/** A reading by the bench's own pad and outbox. */
async function reads(phone, workshop, address) {
  const { page } = phone;
  const { lit } = await workshop.get('/api/today');
  const session = lit[0];
  const count = async () => (await workshop.get(`/api/readings?session=${session.id}`)).readings;
  const before = (await count()).length;
  await page.goto(new URL(`/sessions/${session.id}`, address).href);
  await page.locator('.bench-number').waitFor();
  await phone.shot('bench-https');
  await page.locator('.candle').first().getByRole('button', { name: /flame height/ }).first().click();
  await page.locator('.pad').waitFor();
  await enter(phone, '27');
  const arrived = await until(async () => (await count()).length > before);
  const after = await count();
  check('a reading taken with the pad arrives by https', arrived && after.some((r) => r.value === 27), `${after.length} of ${before + 1}`);
  const decided = await page.evaluate(() => fetch('/api/settings', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: '{"key":"units","value":"us"}' }).then((r) => r.status));
  check('what a bench phone may not is refused by https too', decided === 403, String(decided));
}

/** The computer is switched off: the pages open all the same, and go on when it is back. */
async function away(phone, workshop) {
  const { page } = phone;
  workshop.tlsPort = Number(new URL(page.url()).port);
  await page.goto(new URL('/settings#devices', page.url()).href);
  await page.getByText('This device keeps the pages').waitFor();
  await phone.inspect('pages kept');
  await page.goto(new URL('/', page.url()).href);
  await page.locator('.lit .code').first().waitFor();
  await workshop.stop('SIGKILL');
  await page.reload();
  await page.locator('.lit .code').first().waitFor();
  await page.getByText('No connection. Last known').waitFor();
  check('the pages open by https while the computer is away', true);
  await phone.view('away-https');
  await workshop.start();
  await page.reload();
  await page.locator('.lit .code').first().waitFor();
  check('and are of now when it is back', (await page.locator('.old-note').count()) === 0);
}

async function shutOut(phone, desk, workshop) {
  const { page } = phone;
  await desk.page.goto(`${workshop.url}/settings`);
  const row = desk.page.locator('.devices li', { hasText: 'Phone of the test' });
  await row.getByRole('button', { name: /Shut it out/ }).click();
  await row.getByRole('button', { name: /Shut Phone of the test out now/ }).click();
  await row.waitFor({ state: 'detached' });
  await page.getByRole('heading', { name: 'Let this device in' }).waitFor({ timeout: 30000 });
  check('shut out, nothing it was told stays on it', (await answersKept(page)) === 0, String(await answersKept(page)));
  await workshop.stop('SIGKILL');
  await page.goto(new URL('/', page.url()).href);
  await page.getByText('The workshop computer does not answer').first().waitFor();
  check('and nothing of it opens while the computer is away', (await page.locator('.lit, .code').count()) === 0);
  await phone.view('shut-out-away');
}
