// Every form of the demo workshop: each field of a number tells its unit, what is allowed, and an example, in the units the
// maker reads; what is allowed is what the door then refuses by. The demo is invented.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

/** Fields that hold words, a date or a list; every other one is a number. */
const WORDS = /^(name|code|note|source|received|minutes|container_name)$|\.name$/;
/** Counted, and without a unit. */
const COUNTS = /^(wick_count|set\.)/;
const UNITS = { metric: 'mm|g|kg|°C|%|g\\/m|h', us: 'in|oz|lb|°F|%|g\\/m|h' };
const FORMS = { // how many fields of a number are the least a form must show
  container: 8, taper: 12, series: 12, recipe: 9, pour: 12, light: 4, out: 1, lot: 1, material: 10, property: 3, limit: 1, settings: 2,
};

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
for (const units of ['metric', 'us']) await stretch(`${units}: every form`, () => everyForm(units));
await workshop.close();
await browser.close();
finish();

async function everyForm(units) {
  const v = await visit(browser, units === 'us' ? 'phone' : 'laptop');
  const { page } = v;
  await send('/api/settings', { key: 'units', value: units });
  const at = async (path) => {
    await page.goto(workshop.url + path);
    await page.locator('form').first().waitFor();
  };
  const told = (form) => tells(page, units, form);

  await at('/shelf/containers/new');
  await page.getByRole('radio', { name: 'Square or rectangle' }).check();
  await told('container');
  await refusedBy(v, units);
  await page.getByRole('radio', { name: 'Tapers, bulges or narrows' }).check();
  await told('taper');
  await at('/shelf/series/new');
  await told('series');
  await at('/recipes/new');
  for (const label of ['Fragrance optional', 'Dye optional']) await page.getByLabel(label, { exact: true }).selectOption({ index: 1 });
  for (const more of ['Add another wax', 'Add an additive']) await page.getByRole('button', { name: more }).click();
  await told('recipe');
  const { recipes } = await workshop.get('/api/recipes');
  await at(`/pours/new?recipe=${recipes.find((r) => r.state === 'proven').id}`);
  await told('pour');
  await page.locator('.counts input').first().fill('2');
  await page.locator('.weigh').waitFor();
  const cautions = await page.locator('main .caution li').allInnerTexts();
  check(`${units}: no caution stands twice on the page of a pour`, cautions.length >= 4 && new Set(cautions).size === cautions.length, cautions.join(' / '));
  await at('/light');
  await page.getByRole('checkbox').first().check();
  await told('light');
  const light = await page.locator('main').innerText();
  if (units === 'us') check('us: the page of lighting says nothing in metric alone', /68 to 75\s°F/.test(light) && !/\d\s(mm|°C)(?! or)/.test(light.replace(/\d mm or/g, '')), light);
  await at('/shelf/lots/new');
  await told('lot');
  await at('/shelf/materials/new?kind=wax&from=std-wax-soy');
  await page.getByText('From its data sheet').waitFor();
  await told('material');
  const own = await ownWax(units);
  await page.goto(`${workshop.url}/shelf/materials/${own}`);
  await page.getByRole('button', { name: /^set/ }).first().click();
  await told('property');
  check(`${units}: a number of a table says how it is known`, /·\s*now .*(source|measured|sheet)/.test(await page.locator('.field-help').first().innerText()), await page.locator('.field-help').first().innerText());
  await at('/settings');
  await told('settings');
  await page.getByRole('button', { name: /^change/ }).first().click();
  await told('limit');
  const { lit } = await workshop.get('/api/today');
  await page.goto(`${workshop.url}/sessions/${lit[0].id}`);
  await page.getByRole('button', { name: 'Put out…' }).click();
  await told('out');
  v.quiet('forms');
  await page.context().close();
}

async function ownWax(units) {
  return (await send('/api/materials', { kind: 'wax', name: `Wax in ${units}`, based_on: 'std-wax-soy' })).id;
}

async function send(path, body) {
  return (await fetch(workshop.url + path, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) })).json();
}

/** Every field of a number on the page, with the words below it. */
async function tells(page, units, form) {
  const fields = await page.locator('main form .field input[type=text]').evaluateAll((list) => list.map((e) => ({
    name: e.name, line: document.getElementById(e.getAttribute('aria-describedby')?.split(' ').pop() ?? '')?.textContent ?? '',
  })));
  const numbers = fields.filter((f) => !WORDS.test(f.name) && !/^Minutes after/.test(f.line));
  check(`${units} ${form}: fields of numbers are found`, numbers.length >= FORMS[form], `${numbers.length}: ${numbers.map((f) => f.name).join()}`);
  const number = '[-\u2212]?\\d[\\d.]*';
  // a property of no unit, or of a unit of physics, is in that
  const unit = form === 'material' || COUNTS.test(numbers[0]?.name ?? '') ? '' : `\\s(${UNITS[units]})`;
  for (const { name, line } of numbers) {
    const own = COUNTS.test(name) ? '' : unit;
    const range = new RegExp(`${number}(\\s(g|oz))? to ${number}${own}`);
    check(`${units} ${form}, ${name}: what is allowed, and its unit`, range.test(line), line);
    check(`${units} ${form}, ${name}: an example`, /for example .*\d/.test(line) || /\d.* when empty|\d.*for cotton/.test(line) || /or 1\/4 in/.test(line), line);
    if (units === 'us') check(`us ${form}, ${name}: nothing metric alone`, !/\d\s(mm|ml|kg|°C|C|K)(?![\w/])(?! or)/.test(line), line);
  }
}

/** What is allowed is what the door refuses by. */
async function refusedBy(v, units) {
  if (units !== 'metric') return;
  const { page } = v;
  const field = page.locator('.field', { has: page.getByLabel('C, wall thickness', { exact: true }) });
  const range = /([\d.]+ to [\d.]+)\smm/.exec(await field.locator('.field-range').innerText())?.[1];
  await page.getByLabel('C, wall thickness', { exact: true }).fill('31 mm');
  await page.getByRole('button', { name: 'Keep this container' }).click();
  await field.locator('.field-problem').waitFor();
  const refusal = await field.locator('.field-problem').innerText();
  check('the door refuses by what the field says is allowed', range === '0.1 to 30' && /0\.1\smm to 30\smm/.test(refusal), `${range}: ${refusal}`);
}
