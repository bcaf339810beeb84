// Help beside the words of the trade: on every page each word that a label, a title or a story names has its help
// at the first place; it opens, says what the table says, closes, and the focus goes back. By mouse on the laptop's
// window, by finger on the phone's, by keyboard; accessible by axe's rules in light and dark. The demo is invented.
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { readTerms } from '../../ui/terms.mjs';
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { placesOf } from './lib/places.mjs';
import { root, Workshop } from './lib/workshop.mjs';

const terms = readTerms(readFileSync(path.join(root, 'data/terms.def'), 'utf8'));
const HELP = '.term, .term-mark';

const opener = (page, word) => {
  const { forms } = terms.find((t) => t.word === word);
  const any = [word, ...forms].map((f) => f.replace(/[.*+?^${}()|[\]\\]/g, '\\$&').replace(/ /g, '\\s')).join('|');
  return page.locator(HELP).and(page.getByRole('button', { name: new RegExp(`^(${any})(: what it means)?$`, 'i') })).first();
};

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
const WITH_WORDS = ['today', 'light', 'session-over', 'recipe-proven', 'proof-proven', 'describe', 'revise', 'pour', 'pour-new', 'container-new', 'series-new', 'material', 'shelf-fragrance', 'settings'];
const pages = Object.fromEntries(Object.entries(await placesOf(workshop)).filter(([name]) => WITH_WORDS.includes(name)));
for (const [size, hand] of [['laptop', 'mouse'], ['phone', 'touch'], ['laptop', 'keys']]) await stretch(`${size} ${hand}: help beside each word`, () => everyPage(size, hand));
await stretch('the pad', pad);
await workshop.close();
await browser.close();
finish();

/** In the page: the words it names in titles, labels, names of values and stories, and those it helps with. */
function namesAndHelps(list) {
  const text = [...document.querySelectorAll('main :is(h2, label.field-label, legend, dt, figcaption, .story, tbody th)')]
    .filter((e) => e.checkVisibility() && !e.closest('a, button, summary, .unseen, .above-table, .weigh'))
    .map((e) => e.innerText.toLowerCase());
  const plain = (s) => s.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  const all = list.flatMap((t) => [t.word, ...t.forms].map((f) => ({ word: t.word, form: f.toLowerCase() }))).sort((a, b) => b.form.length - a.form.length);
  const any = new RegExp(`(?<![\\w-])(${all.map((f) => plain(f.form)).join('|')})(?![\\w-])`, 'g');
  const named = new Set(text.flatMap((t) => [...t.matchAll(any)].map((m) => all.find((f) => f.form === m[1]).word)));
  const helped = [...document.querySelectorAll('.term, .term-mark')].map((b) => {
    const said = (b.getAttribute('aria-label') ?? b.textContent).toLowerCase().replace(': what it means', '').replace(/\u00a0/g, ' ');
    return all.find((f) => f.form === said)?.word ?? `unknown: ${said}`;
  });
  return { named: [...named], helped };
}

async function everyPage(size, hand) {
  const v = await visit(browser, size, {}, hand);
  const { page } = v;
  for (const [name, at] of Object.entries(pages)) {
    await page.goto(workshop.url + at);
    await page.locator('h1').waitFor();
    await page.waitForFunction(() => !document.querySelector('.loading'), null, { timeout: 15000 }).catch(() => undefined); // odds may take longer: the page as it stands
    const { named, helped } = await page.evaluate(namesAndHelps, terms);
    const without = named.filter((w) => !helped.includes(w));
    check(`${v.name} ${name}: every word named has help`, without.length === 0, without.join(', '));
    check(`${v.name} ${name}: each once`, new Set(helped).size === helped.length, helped.join(', '));
    if (name !== 'shelf-fragrance') check(`${v.name} ${name}: there is help`, helped.length > 0);
    // by keyboard a few: it walks there
    for (const word of hand === 'keys' ? helped.slice(0, 2) : helped) await opens(v, name, word);
    if (hand === 'mouse') await v.inspectBoth(`${name} with help`);
  }
  check(`${v.name}: nothing hard to hit, nothing focused out of sight`, v.hand.faults.size === 0, [...v.hand.faults].join('; '));
  v.quiet('help');
  await page.context().close();
}

async function opens(v, name, word) {
  const { page } = v;
  const by = opener(page, word);
  const note = page.locator('.term-note');
  // under the numbers that stay at the top while the sliders scroll, a finger has it a little lower
  if (v.hand.kind === 'touch') await by.evaluate((b) => b.closest('.wi-stage') && b.scrollIntoView({ block: 'start', behavior: 'instant' }));
  await v.hand.press(by);
  await note.waitFor();
  const said = (await note.innerText()).replace(/\s+/g, ' ').toLowerCase();
  check(`${v.name} ${name}: ${word} is explained as the table says`, said.startsWith(word) && said.includes(terms.find((t) => t.word === word).means.toLowerCase()), said);
  const box = await note.boundingBox();
  const { width, height } = page.viewportSize();
  check(`${v.name} ${name}: ${word}, the whole note is in the window`, box.x >= 0 && box.y >= 0 && box.x + box.width <= width + 0.5 && box.y + box.height <= height + 0.5, JSON.stringify(box));
  check(`${v.name} ${name}: ${word} has the focus, and says it is open`, (await page.evaluate(() => document.activeElement.getAttribute('role'))) === 'dialog' && (await by.getAttribute('aria-expanded')) === 'true');
  if (word === 'melt pool' || word === 'fragrance load') {
    await v.view(`help-${name}-${word.replace(' ', '-')}`);
    if (v.hand.kind === 'mouse') await v.inspectBoth(`${name}, ${word} explained`);
  }
  if (v.hand.kind === 'touch') await v.hand.press(note.getByRole('button', { name: 'Close' }));
  else await page.keyboard.press('Escape');
  await note.waitFor({ state: 'detached' });
  check(`${v.name} ${name}: ${word}, the focus goes back`, await by.evaluate((b) => document.activeElement === b && b.getAttribute('aria-expanded') === 'false'));
}

/** Over the keypad: its help closes alone, the pad stays with what was typed. */
async function pad() {
  const v = await visit(browser, 'phone', {}, 'touch');
  const { page } = v;
  const { lit } = await workshop.get('/api/today');
  await page.goto(`${workshop.url}/sessions/${lit[0].id}`);
  await v.hand.press(page.getByRole('button', { name: /^Take .*readings$/ }));
  const keys = page.locator('.pad');
  await keys.waitFor();
  for (let n = 0; n < 12 && !(await keys.locator('.term-mark').count()); n++) {
    await v.hand.press(keys.getByRole('button', { name: 'Skip' }));
    await page.waitForTimeout(400);
  }
  const mark = keys.locator('.term-mark');
  await v.hand.press(mark);
  await page.locator('.term-note').waitFor();
  await v.inspectBoth('help over the pad');
  await v.view('help-over-the-pad');
  await page.keyboard.press('Escape');
  await page.locator('.term-note').waitFor({ state: 'detached' });
  check('the help over the pad closes alone, and the pad has the focus', (await keys.count()) === 1 && (await mark.evaluate((b) => document.activeElement === b)));
  await page.context().close();
}
