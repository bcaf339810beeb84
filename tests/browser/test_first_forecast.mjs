// From an empty workshop to a first forecast with nothing but what the pages require: the required fields are counted,
// filled by mouse and keyboard, and the time a practised person would take is reckoned by the keystroke-level model
// (S. K. Card, T. P. Moran, A. Newell, "The keystroke-level model for user performance time with interactive
// systems", Communications of the ACM 23 (1980), 396-410; times of the operators from memory). What is measured with
// the tape before, and how long the maker ponders a number, is no part of it.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

// seconds; K is the paper's slow one, for letters and figures without a sense, not the 0.2 of running text
const K = 0.5;
const P = 1.1;
const H = 0.4;
const M = 1.35;
const MOST_S = 180;
const MOST_REQUIRED = 7;

/** Counts what a hand does: clicks, keys, moves between mouse and keyboard, and a thought before each deed. */
class Tally {
  count = { fields: 0, screens: 1, K: 0, P: 0, H: 0, M: 0, R: 0 };
  #at = 'mouse';

  constructor(page) {
    this.page = page;
  }

  #hand(where) {
    if (this.#at !== where) this.count.H++;
    this.#at = where;
  }

  async click(locator) {
    this.#hand('mouse');
    this.count.M++;
    this.count.P++;
    this.count.K++; // the button of the mouse
    await locator.click();
  }

  async type(label, text) {
    const field = this.page.getByLabel(label).first();
    await this.click(field);
    this.#hand('keys');
    this.count.M++;
    this.count.K += text.length;
    this.count.fields++;
    await this.page.keyboard.type(text);
  }

  async choose(label, pattern) {
    const field = this.page.getByRole('combobox', { name: label, exact: true });
    const texts = await field.locator('option').allInnerTexts();
    await this.click(field);
    this.count.M++;
    this.count.P++;
    this.count.K++; // the entry of the list
    this.count.fields++;
    await this.page.keyboard.press('Escape');
    await field.selectOption({ label: texts.slice(1).find((t) => pattern.test(t)) });
  }

  /** What the program itself takes: measured. */
  async wait(what) {
    const from = Date.now();
    await what;
    this.count.R += (Date.now() - from) / 1000;
    this.count.screens++;
  }

  get seconds() {
    const c = this.count;
    return K * c.K + P * c.P + H * c.H + M * c.M + c.R;
  }
}

/** Labels of what the page requires and does not bring filled in. */
const required = (page) => page.evaluate(() => [...document.querySelectorAll('main [aria-required="true"]')].filter((e) => !e.value).map((e) => e.labels[0].innerText.trim()));

const browser = await launch();
const workshop = new Workshop();
await workshop.start();
await stretch('the first forecast', first);
await workshop.close();
await browser.close();
finish();

async function first() {
  const v = await visit(browser, 'laptop');
  const { page } = v;
  await page.goto(workshop.url);
  await page.getByText('The workshop is empty').waitFor();
  const t = new Tally(page);
  const all = [];
  const asks = async (what, list) => {
    const found = await required(page);
    all.push(...found);
    check(`${what}: required is ${list.join(', ')}`, found.join() === list.join(), found.join());
  };
  await t.click(page.getByRole('link', { name: 'Measure a jar' }));
  await t.wait(page.getByLabel('Made of').waitFor());
  await asks('the jar', ['Made of', 'A, inner diameter', 'B, inner height', 'C, wall thickness']);
  await t.choose('Made of', /./);
  await t.type('A, inner diameter', '72');
  await t.type('B, inner height', '88');
  await t.type('C, wall thickness', '3');
  await t.click(page.getByRole('button', { name: 'Keep this container' }));
  await t.wait(page.getByRole('heading', { name: 'Describe a candle' }).waitFor());
  await t.click(page.getByRole('link', { name: 'Describe a new series' }));
  await t.wait(page.getByLabel('How it is made').waitFor());
  await asks('the wicks', ['How it is made', 'Mass per length']);
  await t.choose('How it is made', /flat/i);
  await t.type('Mass per length', '1.2');
  await t.click(page.getByRole('button', { name: 'Keep this series' }));
  await t.wait(page.getByRole('heading', { name: 'Describe a candle' }).waitFor());
  await page.waitForFunction(() => ['container', 'series'].every((n) => document.querySelector(`select[name=${n}]`)?.value)).catch(() => undefined); // both come along
  await asks('the recipe', ['Wax']);
  await t.choose('Wax', /soy/i);
  await t.click(page.getByRole('button', { name: 'Keep and forecast' }));
  await t.wait(page.locator('.jar-wax').first().waitFor({ timeout: 60000 }));
  await page.locator('.story').first().waitFor();
  check(`at most ${MOST_REQUIRED} fields are required in all`, all.length <= MOST_REQUIRED && all.length === t.count.fields, `${all.length} required, ${t.count.fields} filled`);
  check(`the reckoned time stays below ${MOST_S} s`, t.seconds < MOST_S, `${t.seconds.toFixed(0)} s`);
  const { recipes } = await workshop.get('/api/recipes');
  check('what was given no name has one that says what it is', recipes.length === 1 && /soy.*Round jar 72 mm/i.test(recipes[0].name), recipes.map((r) => r.name).join());
  const { fields, screens, K: keys, P: points, H: hands, M: thoughts, R } = t.count;
  console.log(`first forecast: ${screens} screens, ${fields} fields, ${keys} keys and clicks, ${points} points, ${hands} changes of hand, ${thoughts} thoughts, ${R.toFixed(1)} s of waiting: ${t.seconds.toFixed(0)} s`);
  await v.inspect('first forecast');
  v.quiet('first forecast');
  await page.context().close();
}
