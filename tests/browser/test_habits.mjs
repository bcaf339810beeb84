// Habits of a workshop with its recipes: when readings are due, putting one away, another made from it, found and in order. The demo is invented.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { fill, press } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
for (const size of ['phone', 'laptop']) {
  await stretch(`${size}: due minutes of a recipe`, () => dueMinutes(size));
  await stretch(`${size}: a recipe is put away`, () => putAway(size));
}
await stretch('another made from a recipe', another);
await stretch('found and in order', found);
await workshop.close();
await browser.close();
finish();

async function dueMinutes(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const candle = (await workshop.get('/api/today')).ready[0]; // of the two sizes, the first lights it
  const id = candle?.recipe_id ?? (await workshop.get('/api/recipes')).recipes[0].id;
  await page.goto(`${workshop.url}/recipes/${id}#due`);
  const part = page.getByRole('region', { name: 'When readings are due' });
  await part.waitFor();
  check(`${size}: at first the minutes of the workshop hold`, /workshop’s minutes/.test(await part.innerText()));
  await fill(v, 'Minutes after lighting', '50, 10');
  await press(v, 'Keep for this recipe');
  await part.locator('.field-problem').waitFor();
  check(`${size}: minutes out of order are refused at the field, with what is allowed`, /Up to 12 whole minutes from 1 to 1440/.test(await part.locator('.field-problem').innerText()), await part.locator('.field-problem').innerText());
  await fill(v, 'Minutes after lighting', '10, 50');
  await press(v, 'Keep for this recipe');
  await part.getByText('Minutes of this recipe’s own').waitFor();
  await v.heard('that they are kept', /minutes of this recipe are kept/);
  await v.inspectBoth('due minutes');
  await part.scrollIntoViewIfNeeded();
  await v.view('19-due-minutes');
  if (candle) await askedAt(v, candle);
  await page.goto(`${workshop.url}/recipes/${id}#due`);
  await press(v, 'As in the workshop');
  await part.getByText('The workshop’s minutes').waitFor();
  const recipe = await workshop.get(`/api/recipes/${id}`);
  check(`${size}: given back, the workshop's hold again`, recipe.due_own === false && recipe.due_minutes === '5, 30, 60, 120, 180, 240', recipe.due_minutes);
  await page.context().close();
}

async function askedAt(v, candle) {
  const lit = await (await fetch(`${workshop.url}/api/sessions`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ candles: [candle.id], planned: '4 h' }) })).json();
  await v.page.goto(`${workshop.url}/sessions/${lit.id}`);
  await v.page.getByText(/Next readings at 10\smin/).waitFor();
  check(`${v.name}: a session of it asks at its own minutes`, lit.due_minutes.join() === '10,50,240', lit.due_minutes.join());
}

async function putAway(size) {
  const v = await visit(browser, size);
  const { page } = v;
  const { recipes } = await workshop.get('/api/recipes');
  const { id, name } = recipes[0];
  const line = page.locator('.ledger-row', { hasText: name });
  await page.goto(`${workshop.url}/recipes/${id}`);
  await press(v, /^Put it away/);
  await page.getByText('Put away: it is not listed').waitFor();
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Recipes' }).click();
  await page.getByRole('heading', { name: 'Recipes', level: 1 }).waitFor();
  await page.locator('.ledger-row').first().waitFor();
  await line.waitFor({ state: 'detached' });
  check(`${size}: put away it is not listed`, (await line.count()) === 0);
  await page.getByRole('checkbox', { name: 'also those put away' }).check();
  await line.waitFor();
  check(`${size}: asked for, it is listed and says so`, /put away/.test(await line.innerText()));
  await v.inspectBoth('put away');
  await line.click();
  await press(v, /^Take it out again/);
  await page.getByRole('button', { name: /^Put it away/ }).waitFor();
  await page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Recipes' }).click();
  await line.waitFor();
  check(`${size}: taken out again, it is listed`, !/put away/.test(await line.innerText()));
  check(`${size}: nothing of it was lost`, (await workshop.get(`/api/recipes/${id}`)).revisions.length > 0);
  await page.context().close();
}

/** A copy has the candle of the old one, a name of its own, and no history; what is changed on the way is changed. */
async function another() {
  const v = await visit(browser, 'phone');
  const { page } = v;
  const { recipes } = await workshop.get('/api/recipes');
  const old = await workshop.get(`/api/recipes/${recipes.find((r) => r.state === 'proven').id}`);
  await page.goto(`${workshop.url}/recipes/${old.id}`);
  await page.locator('.described dd').first().waitFor();
  const shares = await page.locator('.described > div').evaluateAll((l) => l.map((e) => e.querySelector('dd').getBoundingClientRect().width / e.getBoundingClientRect().width));
  check('on a phone more than half of a line is for what the candle is', shares.length > 8 && shares.every((s) => s > 0.5), shares.map((s) => s.toFixed(2)).join());
  const link = page.getByRole('link', { name: 'Start another from it' });
  await link.waitFor();
  await link.click();
  await page.getByRole('heading', { name: 'Describe a candle' }).waitFor();
  await page.locator('input[name="trim"]').fill('4 mm');
  await press(v, 'Keep and forecast');
  await page.waitForURL(/\/recipes\/[0-9a-f-]{36}$/);
  const made = await workshop.get(`/api/recipes/${new URL(page.url()).pathname.split('/').pop()}`);
  const candle = ({ revision: r }) => JSON.stringify([r.container.id, r.series.id, r.waxes, r.fragrance, r.load_of_wax_pct, r.dye, r.additives, r.wick_count, r.fill_height_mm]);
  check('another made from a recipe is the same candle', made.id !== old.id && candle(made) === candle(old), `${candle(made)} ${candle(old)}`);
  check('with a name of its own, and nothing of what was burned', made.name !== old.name && made.state === 'described' && made.revisions.length === 1, `${made.name}, ${made.state}`);
  check('what was changed on the way is changed, the old one is not', made.revision.trim_mm === 4 && old.revision.trim_mm !== 4 &&
    (await workshop.get(`/api/recipes/${old.id}`)).revision.trim_mm === old.revision.trim_mm, `${made.revision.trim_mm} ${old.revision.trim_mm}`);
  v.quiet('another');
  await page.context().close();
}

async function found() {
  const v = await visit(browser, 'laptop');
  const { page } = v;
  const { recipes } = await workshop.get('/api/recipes');
  await page.goto(`${workshop.url}/recipes`);
  await page.locator('.ledger-row').first().waitFor();
  const names = () => page.locator('.ledger-name').allInnerTexts();
  const one = recipes.find((r) => r.state === 'testing');
  const words = `${one.name.split(' ')[0].toUpperCase()} ${one.container.name.split(' ')[0].toLowerCase()}`;
  await page.getByRole('searchbox').fill(words);
  check('two words, of name and of jar, find the recipe that has both', (await names()).join() === one.name, `${words}: ${await names()}`);
  check('and how many of how many is said', (await page.locator('main [role="status"]').last().innerText()) === `1 of ${recipes.length} recipes`);
  await page.getByRole('searchbox').fill('nothing of the kind');
  check('what fits nothing is said so', (await names()).length === 0 && (await page.getByText('Nothing fits “nothing of the kind”').count()) === 1);
  await page.getByRole('searchbox').fill('');
  const orders = {
    name: (a, b) => a.name.localeCompare(b.name), 'last changed': (a, b) => b.updated.localeCompare(a.updated),
    container: (a, b) => a.container.name.localeCompare(b.container.name) || a.name.localeCompare(b.name),
  };
  for (const [label, by] of Object.entries(orders)) {
    await page.getByLabel('Order').selectOption({ label });
    const wanted = [...recipes].sort(by).map((r) => r.name);
    check(`in order of ${label}`, (await names()).join() === wanted.join(), `${await names()} / ${wanted}`);
  }
  await page.getByLabel('Order').selectOption({ label: 'what is under test first' });
  check('what is under test comes first', (await names())[0] === one.name, (await names()).join());
  await page.reload();
  await page.locator('.ledger-row').first().waitFor();
  check('the order chosen is kept', (await names())[0] === one.name);
  v.quiet('found');
  await page.context().close();
}
