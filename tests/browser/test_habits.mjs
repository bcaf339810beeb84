// Habits of a workshop on the page of a recipe: when its readings are due, and putting it away. The demo is invented.
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
