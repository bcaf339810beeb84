// Nine pages of one browser are open, more than the six connections a browser grants a server: the last opens as the first does, what
// is written is heard on all of them, and when the page that listens is closed another one does. The demo is invented.
import { check, finish, launch, stretch } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const MANY = 9;
const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
await stretch('many pages', manyPages);
await workshop.close();
await browser.close();
finish();

async function addJar(name) {
  const answer = await fetch(`${workshop.url}/api/containers`, {
    method: 'POST', headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ name, material: 'std-container-soda-lime', inner_diameter: '70 mm', height: '80 mm', wall: '3 mm' }),
  });
  if (!answer.ok) throw new Error(await answer.text());
}

function shows(page, name) {
  return page.locator('.ledger-row', { hasText: name }).waitFor({ timeout: 20000 }).then(() => true, () => false);
}

async function heardOn(pages, name) {
  await addJar(name);
  const on = await Promise.all(pages.map((page) => shows(page, name)));
  check(`${name} is seen on every page`, on.every(Boolean), on.join());
}

async function manyPages() {
  const context = await browser.newContext({ locale: 'en-GB' });
  const pages = [];
  let streams = 0;
  for (let i = 0; i < MANY; i++) {
    const page = await context.newPage();
    page.on('request', (r) => { streams += r.url().endsWith('/api/events'); });
    await page.goto(`${workshop.url}/shelf`);
    await page.locator('.ledger-row').first().waitFor();
    pages.push(page);
  }
  check('one page listens for all', streams === 1, streams);
  await heardOn(pages, 'Jar of the first news');
  await pages[0].close();
  await heardOn(pages.slice(1), 'Jar of the later news');
  check('and another page has taken over', streams === 2, streams);
  await unheard(context, pages.slice(1));
  await context.close();
}

// written after the listening page was closed and before the next one's stream stands: the server tells nobody
async function unheard(context, pages) {
  let release;
  const held = new Promise((resolve) => { release = resolve; });
  const asked = new Promise((resolve) => {
    void context.route('**/api/events', async (route) => {
      resolve();
      await held;
      await route.continue();
    });
  });
  await pages[0].close();
  const left = pages.slice(1);
  await asked;
  await left[0].waitForTimeout(1000); // what the pages ask because another window went is answered by then
  await addJar('Jar of the silence');
  release();
  const on = await Promise.all(left.map((page) => shows(page, 'Jar of the silence')));
  check('what was written while nobody listened is seen on every page', on.every(Boolean), on.join());
}
