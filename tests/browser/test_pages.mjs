// Every page of the demo workshop, on phone and laptop, some on a tablet, in light and in dark: axe, no sideways scrolling (on
// the phone with large letters too), no error in the console, targets a thumb can hit; what a first visit downloads; inches and ounces;
// the keyboard alone. The demo is invented.
import { gzipSync } from 'node:zlib';
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { placesOf } from './lib/places.mjs';
import { Workshop } from './lib/workshop.mjs';

const ENGINE_WAIT_MS = 25000;
/** Between phone and desk: what stands in columns, and what is wide. */
const TABLET = ['today', 'recipe-proven', 'proof-proven', 'bench', 'light', 'pour-new', 'container-new', 'series-new', 'shelf-wax', 'settings'];

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
for (const size of ['phone', 'laptop']) await stretch(`${size}: all pages`, () => allPages(size));
await stretch('tablet: pages laid out by width', () => allPages('tablet', TABLET));
await stretch('first load', firstLoad);
await stretch('strict content policy', contentPolicy);
await stretch('inches and ounces', otherUnits);
await stretch('keyboard alone', keyboard);
await workshop.close();
await browser.close();
finish();

/** All places, or `only` those named, which are looked at in light alone. */
async function allPages(size, only) {
  const v = await visit(browser, size);
  const places = Object.entries(await placesOf(workshop)).filter(([name]) => !only || only.includes(name));
  check(`${size}: the pages are found`, places.length >= (only?.length ?? 30), String(places.length));
  for (const [name, path] of places) {
    await v.page.emulateMedia({ colorScheme: 'light' });
    await v.page.goto(workshop.url + path);
    await settled(v.page);
    await v.shot(`page-${name}-light`);
    await v.inspect(`${name} light`);
    if (size !== 'laptop') await targets(v, name);
    if (only) {
      const [left, top] = await v.page.evaluate(() => ['main h1', '.wordmark'].map((e) => Math.round(document.querySelector(e).getBoundingClientRect().left)));
      check(`${size} ${name}: page and top line have one left edge`, left === top, `${left} ${top}`);
      v.quiet(name);
      continue;
    }
    await v.page.emulateMedia({ colorScheme: 'dark' });
    await v.shot(`page-${name}-dark`);
    await v.inspect(`${name} dark`);
    v.quiet(name);
  }
  await v.page.context().close();
}

/**
 * Nothing is loading any more. On a busy machine the burn engine may take longer than this test will wait:
 * then the page is inspected as it stands, for "still burning" is a state of it too.
 */
async function settled(page) {
  await page.locator('h1').waitFor();
  const done = () => !document.querySelector('.loading') && !document.body.innerText.includes('being burned now');
  await page.waitForFunction(done, null, { timeout: ENGINE_WAIT_MS }).catch(() => console.log(`still burning: ${page.url()}`));
}

/** Buttons and fields are at least 44 px high; links in running text are text and need not be. */
async function targets(v, name) {
  const small = await v.page.evaluate(() =>
    [...document.querySelectorAll('button, select, textarea, input:not([type=radio]):not([type=checkbox]):not([type=range]), .ways a, a.button, .choice-item, .size-item')]
      .filter((e) => e.checkVisibility?.() !== false && e.getBoundingClientRect().height > 0)
      .filter((e) => e.getBoundingClientRect().height < 43.5)
      .map((e) => `${e.className || e.tagName} ${Math.round(e.getBoundingClientRect().height)} "${e.textContent.slice(0, 24)}"`));
  check(`${v.name} ${name}: targets are 44 px high`, small.length === 0, small.slice(0, 4).join('; '));
}

/** What the network carries on a first visit, compressed; the bar is 250 KB. */
async function firstLoad() {
  const v = await visit(browser, 'phone');
  const bodies = [];
  v.page.on('response', (r) => {
    const { pathname } = new URL(r.url());
    if (!pathname.startsWith('/api/')) bodies.push(r.body().then((b) => ({ pathname, bytes: /woff2$/.test(pathname) ? b.length : gzipSync(b).length }), () => ({ pathname, bytes: 0, gone: true })));
  });
  await v.page.goto(workshop.url);
  await v.page.waitForLoadState('load');
  await v.page.locator('h1').waitFor();
  const files = await Promise.all(bodies);
  const kb = files.reduce((n, f) => n + f.bytes, 0) / 1024;
  check('first load is at most 250 KB', kb > 20 && kb <= 250 && !files.some((f) => f.gone), `${kb.toFixed(0)} KB`);
  console.log(`first load: ${kb.toFixed(0)} KB compressed in ${files.length} files`);
  await v.page.context().close();
}

/** The pages run under a policy without inline code; a script smuggled in does not. */
async function contentPolicy() {
  const v = await visit(browser, 'laptop');
  const answer = await v.page.goto(workshop.url);
  const policy = answer.headers()['content-security-policy'] ?? '';
  check('the policy allows no inline code and no eval', /default-src '(self|none)'/.test(policy) && !/unsafe/.test(policy), policy);
  await v.page.locator('h1').waitFor();
  await v.page.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'globalThis.smuggled = true';
    document.head.append(script);
  });
  check('an inline script is not run', (await v.page.evaluate(() => globalThis.smuggled)) === undefined);
  await v.page.context().close();
}

async function otherUnits() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  await page.goto(`${workshop.url}/settings`);
  await page.getByRole('radio', { name: 'in, oz, °F' }).check();
  await page.getByRole('button', { name: 'Keep' }).first().click();
  await page.waitForFunction(async () => (await (await fetch('/api/settings')).json()).settings.find((s) => s.key === 'units').value === 'us');
  await page.locator('.limits', { hasText: '°F' }).waitFor(); // the page was drawn anew in the units kept
  const limits = await page.locator('.limits').innerText();
  check('limits name their sources by title', /Specification for fire safety\. .*EN 15493:2019/.test(limits) && !/en15493_2019/.test(limits));
  check('what limits say is in Fahrenheit too', /68\s°F give or take 9\s°F/.test(limits));
  const { recipes } = await workshop.get('/api/recipes');
  await page.goto(`${workshop.url}/recipes/${recipes.find((r) => r.state === 'proven').id}/proof`);
  await page.locator('.finding-text').first().waitFor();
  const reasons = (await page.locator('.findings').innerText()) + (await page.locator('.proof').innerText());
  check('reasons of a verdict are in inches and Fahrenheit', /\d\sin/.test(reasons) && /\d\s°F/.test(reasons) && !/\d\s(mm|C)\b/.test(reasons), reasons);
  const proof = await page.locator('.proof').innerText();
  check('the least margin is said once, with what it is of, and turns as a whole', (proof.match(/margin/gi) ?? []).length === 1 && /\((flame|pool depth|container|\w[\w ]*) [\d.]+ of [\d.]+\s(in|°F)\)/.test(proof), proof);
  const { containers } = await workshop.get('/api/containers');
  await page.goto(`${workshop.url}/shelf/containers/${containers[0].id}`);
  await page.locator('.figure').first().waitFor();
  const figures = (await page.locator('.figures').first().innerText()).replace(/\s+/g, ' ');
  const inches = (containers[0].height_mm / 25.4).toFixed(2);
  check('lengths are shown in inches', figures.includes(`${inches} in`), `${inches} in: ${figures}`);
  check('volumes are shown in fluid ounces', /fl oz/.test(figures));
  await page.goto(`${workshop.url}/shelf/containers/new`);
  await page.getByLabel('A, inner diameter', { exact: true }).fill('3');
  check('a number alone means the unit beside it', /in/.test(await page.locator('.field', { hasText: 'A, inner diameter' }).locator('.field-unit').innerText()));
  await v.inspect('US units');
  await page.context().close();
}

/** Tab and Enter only: from the skip link to a recipe, its forecast and the time slider. */
async function keyboard() {
  const v = await visit(browser, 'laptop');
  const { page } = v;
  await page.goto(workshop.url);
  await page.locator('h1').waitFor();
  await page.keyboard.press('Tab');
  check('the first stop is the skip link', (await focused(page)) === 'To the page');
  const link = await tabTo(page, (t) => t === 'Recipes');
  check('the pages are reached by tab', link);
  await page.keyboard.press('Enter');
  await page.getByRole('heading', { name: 'Recipes' }).waitFor();
  check('a new page takes the focus to its title', (await focused(page)) === 'Recipes');
  await tabTo(page, (t) => t.startsWith('Fig evening'));
  const ring = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
  check('the focus is visible', ring === 'solid', ring);
  await page.keyboard.press('Enter');
  await page.locator('.jar').first().waitFor();
  await tabTo(page, (t, label) => label === 'Play the whole life');
  await page.keyboard.press('Enter');
  await page.waitForTimeout(700);
  await page.keyboard.press('Enter');
  const played = await page.getByLabel('Time in the life of the candle').getAttribute('aria-valuetext');
  check('the burn plays and is told in words', /Session \d+|Resting/.test(played ?? ''), String(played));
  await page.context().close();
}

function focused(page) {
  return page.evaluate(() => document.activeElement?.textContent?.trim() ?? '');
}

async function tabTo(page, wanted) {
  for (let i = 0; i < 60; i++) {
    await page.keyboard.press('Tab');
    const [text, label] = await page.evaluate(() => [document.activeElement?.textContent?.trim() ?? '', document.activeElement?.getAttribute('aria-label') ?? '']);
    if (wanted(text, label)) return true;
  }
  return false;
}
