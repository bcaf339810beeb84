// The pages open while the workshop's computer is away: every page freshly loaded, with what it showed last and
// how old that is; a reading typed then outlives reloads and arrives once. A computer that sleeps, which
// refuses nothing and answers nothing. Another build of the pages is taken up whole, a half one not at
// all. The demo is invented.
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { takeFlame } from './lib/programme.mjs';
import { root, Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('the worker as it is served', served);
await stretch('a browser that keeps nothing', unable);
await stretch('answers too old to be of use', tooOld);
await stretch('the worker packed into the program', packed);
for (const size of ['phone', 'laptop']) await stretch(`${size}: pages open while the computer is away`, () => away(size));
await stretch('a reading typed while away', reading);
await stretch('a computer that sleeps', asleep);
await stretch('a phone that slept', slept);
await stretch('another build', renewed);
await workshop.close();
await browser.close();
finish();

/** The pages are kept: from here on the computer may go. */
async function kept(page) {
  await page.evaluate(() => navigator.serviceWorker.ready.then((r) => r.active.state === 'activated' || new Promise((go) => r.active.addEventListener('statechange', go))));
}

/** What the browser keeps for the worker. */
function keeps(page) {
  return page.evaluate(async () => {
    const names = await caches.keys();
    return Promise.all(names.map(async (name) => ({ name, paths: (await (await caches.open(name)).keys()).map((r) => new URL(r.url).pathname).sort() })));
  });
}

async function served() {
  const answer = await fetch(`${workshop.url}/worker.js`);
  const head = Object.fromEntries(answer.headers);
  check('the worker is a script', answer.status === 200 && /^text\/javascript/.test(head['content-type']), head['content-type']);
  check('it is asked for anew each time', head['cache-control'] === 'no-cache' && /^"/.test(head.etag ?? ''), head['cache-control']);
  check('the policy lets it run, and nothing from elsewhere', /worker-src 'self'/.test(head['content-security-policy']));
  const v = await visit(browser, 'phone');
  await v.page.goto(workshop.url);
  await v.page.locator('.lit').first().waitFor();
  await kept(v.page);
  const [one, ...more] = await keeps(v.page);
  const files = [...readdirSync(workshop.pages), ...readdirSync(path.join(workshop.pages, 'fonts')).map((f) => `fonts/${f}`)]
    .filter((f) => /\.(html|js|css|svg|woff2)$/.test(f) && f !== 'worker.js').map((f) => `/${f}`).sort();
  check('it keeps the built files, and no word of the workshop', more.length === 0 && one.paths.join() === files.join(), one?.paths.join());
  await v.page.reload();
  await v.page.locator('.lit').first().waitFor();
  v.quiet('worker');
  await v.page.context().close();
}

/** As in a private window of some browsers. */
async function unable() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.addInitScript(() => { navigator.serviceWorker.register = () => Promise.reject(new DOMException('The operation is insecure.', 'SecurityError')); });
  await page.goto(`${workshop.url}/settings#devices`);
  await page.getByText('This browser keeps no pages').waitFor();
  await page.locator('.kept-pages').evaluate((e) => e.scrollIntoView({ block: 'center' }));
  await v.view('worker-unable');
  await v.inspect('pages not to be kept');
  check('a browser that keeps nothing is said so, where devices are', true);
  v.quiet('unable');
  await page.context().close();
}

async function tooOld() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/pours`);
  await page.locator('.ledger').first().waitFor();
  const age = (days) => page.evaluate(([d]) => new Promise((resolve) => {
    const open = indexedDB.open('evenpool-bench');
    open.onsuccess = () => {
      const step = open.result.transaction('answers', 'readwrite');
      const store = step.objectStore('answers');
      const ask = store.get('/api/pours');
      ask.onsuccess = () => { if (d) store.put({ ...ask.result, at: Date.now() - d * 864e5 }); };
      step.oncomplete = () => {
        open.result.close();
        resolve(Boolean(ask.result));
      };
    };
  }), [days]);
  await age(29);
  await page.goto(`${workshop.url}/settings`);
  await page.locator('.limits').waitFor();
  check('what was told 29 days ago is kept still', await age(31));
  await page.reload();
  await page.locator('.limits').waitFor();
  await page.waitForTimeout(300);
  check('what was told 31 days ago is thrown away', !(await age(0)));
  await page.context().close();
}

/** Without a folder of pages: what the program itself carries is what its worker will accept. */
async function packed() {
  const own = new Workshop();
  own.pages = '';
  await own.start();
  const script = await (await fetch(`${own.url}/worker.js`)).text();
  const files = [...script.matchAll(/"(\/[^"]+)":"([0-9a-f]{64})"/g)];
  const wrong = [];
  for (const [, name, hash] of files) {
    const body = Buffer.from(await (await fetch(own.url + name)).arrayBuffer());
    if (createHash('sha256').update(body).digest('hex') !== hash) wrong.push(name);
  }
  check('every file the packed worker names is packed as it says', files.length > 4 && wrong.length === 0, `${files.length} files, wrong: ${wrong}`);
  await own.close();
}

async function places() {
  const { recipes } = await workshop.get('/api/recipes');
  const { pours } = await workshop.get('/api/pours');
  const { containers } = await workshop.get('/api/containers');
  const { series } = await workshop.get('/api/series');
  const { lit } = await workshop.get('/api/today');
  const testing = recipes.find((r) => r.state === 'testing').id;
  return {
    '/': '.lit .code', '/recipes': '.ledger-row', [`/recipes/${testing}`]: '.jump', [`/recipes/${testing}/proof`]: '.verdict-word', '/light': 'input[type=checkbox]',
    [`/sessions/${lit[0].id}`]: '.bench-number', '/pours': '.ledger', [`/pours/${pours[0].id}`]: 'h1', '/shelf': '.ledger', [`/shelf/containers/${containers[0].id}`]: '.figure',
    [`/shelf/series/${series[0].id}`]: 'h1', '/shelf/materials/std-wax-soy': 'h1', '/settings': '.limits', '/recipes/new': 'form', '/shelf/tables': 'h1',
  };
}

async function away(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const all = await places();
  for (const [at, has] of Object.entries(all)) {
    await page.goto(workshop.url + at);
    await page.locator(`main ${has}`).first().waitFor();
  }
  await page.waitForTimeout(500); // until the last answers are kept
  await kept(page);
  await workshop.stop('SIGKILL');
  for (const [at, has] of Object.entries(all)) {
    await page.goto(workshop.url + at);
    await page.locator(`main ${has}`).first().waitFor();
    check(`${size}: ${at.replace(/[0-9a-f-]{36}/, '…')} opens without the computer`, await page.locator(`main ${has}`).first().isVisible());
  }
  await page.goto(workshop.url);
  await page.getByText('no connection').first().waitFor();
  const note = await page.locator('.old-note').first().innerText();
  check(`${size}: it says how old it is`, /^No connection\. Last known at \d\d:\d\d\.$/.test(note), note);
  check(`${size}: in its own letters and lines`, await page.evaluate(() => document.fonts.check('1rem "Atkinson Hyperlegible Next Variable"') && getComputedStyle(document.querySelector('.top')).display !== 'block'));
  await v.view('worker-away-today');
  await v.inspectBoth('opened while away');
  await page.goto(`${workshop.url}/settings#devices`);
  await page.getByText('This device keeps the pages').waitFor();
  await page.locator('.kept-pages').scrollIntoViewIfNeeded();
  await v.view('worker-away-settings');
  await workshop.start();
  await page.goto(workshop.url);
  await page.locator('.lit').first().waitFor();
  await page.locator('.old-note').waitFor({ state: 'detached' });
  check(`${size}: once the computer is back, nothing is said to be old`, (await page.locator('.waiting-button').count()) === 0);
  v.quiet('away');
  await page.context().close();
}

/** On a slow phone what the page watches changes before it watches: frames, and what Preact waits in their stead, come late. */
function late() {
  const wait = window.setTimeout.bind(window);
  window.setTimeout = (f, ms, ...more) => wait(f, ms === 35 ? 400 : ms, ...more);
  window.requestAnimationFrame = (f) => wait(() => f(performance.now()), 400);
}

async function reading() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  const session = (await workshop.get('/api/today')).lit[0];
  const flames = async () => (await workshop.get(`/api/readings?session=${session.id}`)).readings.filter((r) => r.kind === 'flame' && [11.25, 12.25].includes(r.value)).map((r) => r.value).join();
  const { code } = session.candles[0];
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  await page.locator('.bench-number').waitFor();
  await kept(page);
  await workshop.stop('SIGKILL');
  await page.reload();
  await page.locator('.bench-number').waitFor();
  await takeFlame(v, code, '11.25');
  await page.getByText('1 not yet sent').first().waitFor();
  await page.addInitScript(late);
  await page.reload();
  await page.getByText('1 not yet sent').first().waitFor();
  await takeFlame(v, code, '12.25');
  await page.getByText('2 not yet sent').first().waitFor();
  await page.reload();
  await page.getByText('2 not yet sent').first().waitFor();
  await page.locator('.readings').waitFor();
  check('typed before and after a reload without the computer, both are there after another', (await page.locator('.readings .value', { hasText: 'not yet sent' }).count()) === 2);
  await v.view('worker-away-bench');
  await workshop.start();
  await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  check('each arrives once, in order', (await flames()) === '11.25,12.25', await flames());
  await page.reload();
  await page.locator('.bench-number').waitFor();
  check('a reload sends nothing twice', (await flames()) === '11.25,12.25', await flames());
  v.quiet('reading');
  await page.context().close();
}

/** Takes connections at the workshop's own port and never says a word. */
function silence(port) {
  const open = new Set();
  const server = createServer((s) => { open.add(s); s.on('error', () => undefined); });
  return new Promise((resolve) => server.listen(port, '127.0.0.1', () => resolve({
    end: () => new Promise((done) => { for (const s of open) s.destroy(); server.close(done); }),
  })));
}

async function asleep() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/recipes`);
  await page.locator('.ledger-row').first().waitFor();
  await page.goto(workshop.url);
  await page.locator('.lit').first().waitFor();
  await kept(page);
  await workshop.stop('SIGKILL');
  const mute = await silence(workshop.port);
  const began = Date.now();
  await page.goto(workshop.url, { waitUntil: 'commit' });
  await page.locator('.lit .code').first().waitFor();
  const took = Date.now() - began;
  console.log(`Today after ${took} ms of silence`);
  check('a computer that does not answer at all is not waited for', took > 2500 && took < 12000, `${took} ms`);
  check('what is shown meanwhile says so', /^No answer yet\. Last known at/.test(await page.locator('.old-note').first().innerText()), await page.locator('.old-note').first().innerText());
  await v.view('worker-silent');
  const next = Date.now();
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Recipes' }).click();
  await page.locator('.ledger-row').first().waitFor();
  check('the next page does not wait again', Date.now() - next < 2000, `${Date.now() - next} ms`);
  await mute.end();
  await workshop.start();
  await page.goto(workshop.url);
  await page.locator('.lit').first().waitFor();
  v.quiet('silence');
  await page.context().close();
}

/** Twenty minutes in a pocket, in which the monotonic clock of many phones stands still, and a clock that is wrong by an hour. */
async function slept() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.addInitScript(() => {
    const real = Date.now.bind(Date);
    window.lag = Number(sessionStorage.getItem('lag') ?? 36e5);
    Date.now = () => real() + window.lag;
  });
  const session = (await workshop.get('/api/today')).lit[0];
  await page.goto(`${workshop.url}/sessions/${session.id}`);
  const minute = async () => {
    const text = (await page.locator('.bench-number').innerText()).replace(/\s/g, ' ');
    const [, h, m] = /^(?:(\d+)\sh)? ?(?:(\d+)\smin)?$/.exec(text);
    return 60 * Number(h ?? 0) + Number(m ?? 0);
  };
  const told = async () => (await workshop.get(`/api/sessions/${session.id}`)).minute;
  await page.locator('.bench-number').waitFor();
  const near = (a, b) => Math.abs(a - b) <= 1.5;
  const lit = await told();
  check('a phone whose clock is wrong shows the minute of the candle', near(await minute(), lit), `${await minute()} for ${lit}`);
  await kept(page);
  await workshop.stop('SIGKILL');
  await page.reload();
  await page.locator('.bench-number').waitFor();
  await page.waitForTimeout(1500);
  check('the same opened anew while the computer is away', near(await minute(), lit), `${await minute()} for ${lit}`);
  await workshop.start();
  await page.reload();
  await page.locator('.bench-number').waitFor();
  await page.waitForTimeout(2500);
  await workshop.stop('SIGKILL');
  const before = await minute();
  await page.evaluate(() => { window.lag += 20 * 6e4; });
  await page.waitForTimeout(1500);
  check('after twenty minutes of sleep, twenty minutes more', near(await minute(), before + 20), `${await minute()} for ${before + 20}`);
  await workshop.start();
  await page.context().close();
}

/** The same pages with another word in them, built by the same script. */
function otherBuild() {
  const copy = mkdtempSync(path.join(tmpdir(), 'evenpool-pages-'));
  const dir = path.join(copy, 'ui');
  cpSync(path.join(root, 'data/terms.def'), path.join(copy, 'data/terms.def'));
  cpSync(path.join(root, 'src/app'), path.join(copy, 'src/app'), { recursive: true, filter: (f) => !/\.[ch]$/.test(f) });
  cpSync(path.join(root, 'ui/src'), path.join(dir, 'src'), { recursive: true });
  for (const name of ['build.mjs', 'terms.mjs', 'fields.mjs', 'package.json', 'tsconfig.json']) cpSync(path.join(root, 'ui', name), path.join(dir, name));
  symlinkSync(path.join(root, 'ui/node_modules'), path.join(dir, 'node_modules'));
  const shell = path.join(dir, 'src/parts/Shell.tsx');
  writeFileSync(shell, readFileSync(shell, 'utf8').replace("label: 'Today'", "label: 'Today anew'"));
  execFileSync('node', ['build.mjs'], { cwd: dir, stdio: 'ignore' });
  return dir;
}

async function renewed() {
  const dir = otherBuild();
  try {
    const v = await visit(browser, 'phone');
    const { page } = v;
    const anew = page.getByRole('link', { name: 'Today anew' });
    await page.goto(workshop.url);
    await page.locator('.lit').first().waitFor();
    await kept(page);
    const [old] = await keeps(page);
    await workshop.stop();
    workshop.pages = path.join(dir, 'dist');
    await workshop.start();
    await page.goto(workshop.url);
    await page.locator('.lit').first().waitFor();
    check('the next load is the new build', await anew.isVisible());
    await untilKept(page, (list) => list.length === 1 && list[0].name !== old.name);
    const [fresh, ...more] = await keeps(page);
    check('the new one is kept, the old one is gone', more.length === 0 && fresh.name !== old.name && fresh.paths.some((p) => /^\/app-.*js$/.test(p) && !old.paths.includes(p)), JSON.stringify(fresh));
    await workshop.stop('SIGKILL');
    await page.goto(workshop.url);
    await page.locator('.lit').first().waitFor();
    check('and opens while the computer is away', await anew.isVisible());
    await openPage(page, anew);
    await halfBuild(page, dir, fresh);
    v.quiet('another build');
    await page.context().close();
  } finally {
    workshop.pages = path.join(root, 'ui/dist');
    rmSync(path.dirname(dir), { recursive: true, force: true });
  }
}

/** The program is renewed under a page that stays open: kept as soon as the computer is back, shown at the next load. */
async function openPage(page, anew) {
  workshop.pages = path.join(root, 'ui/dist');
  const [before] = await keeps(page);
  await workshop.start();
  await untilKept(page, (list) => list.length === 1 && list[0].name !== before.name);
  check('a page that stays open keeps its script, and what to load next is there', await anew.isVisible());
  await workshop.stop('SIGKILL');
  await page.reload();
  await page.locator('.lit').first().waitFor();
  check('loaded again while the computer is away, it is the build of the computer', !(await anew.isVisible()));
}

/** Pages that are being copied while they are asked for: the last whole build stays. */
async function halfBuild(page, dir) {
  const script = readdirSync(path.join(dir, 'dist')).find((f) => /^app-.*\.js$/.test(f));
  const [before] = await keeps(page);
  writeFileSync(path.join(dir, 'dist', script), '/* cut off */');
  workshop.pages = path.join(dir, 'dist');
  await workshop.start();
  await page.evaluate(() => navigator.serviceWorker.getRegistration().then((r) => r.update()).then((r) => {
    const worker = r.installing;
    return worker && new Promise((go) => worker.addEventListener('statechange', go));
  }));
  const after = await keeps(page);
  check('half a build is not kept, and the last whole one stays', JSON.stringify(after) === JSON.stringify([before]), JSON.stringify(after));
  await workshop.stop('SIGKILL');
  await page.reload();
  await page.locator('.lit').first().waitFor();
  check('which still opens', await page.locator('.lit').first().isVisible());
}

async function untilKept(page, holds) {
  for (const end = Date.now() + 20000; Date.now() < end; await page.waitForTimeout(200)) if (holds(await keeps(page))) return;
}
