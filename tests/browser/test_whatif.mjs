// What if, by thumb and by keyboard: the burn answers while the slider moves and again when it rests,
// questions that were overtaken are not shown, a refusal stands where the jars were, and what
// pleases becomes the next revision. Then two sizes side by side at one moment.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
for (const size of ['phone', 'laptop']) await stretch(`${size}: what if`, () => run(size));
await browser.close();
finish();

async function run(size) {
  const workshop = new Workshop({ demo: true });
  await workshop.start();
  const v = await visit(browser, size);
  try {
    const { recipes } = await workshop.get('/api/recipes');
    const recipe = recipes.find((r) => r.state === 'proven').id;
    // odds and plan take the engine for long and are no part of this
    await v.page.route('**/plan?*', (route) => route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: '', text: 'not now' } } }));
    await v.page.goto(`${workshop.url}/recipes/${recipe}`);
    await v.page.locator('.slide').first().waitFor();
    await answersWhileMoving(v);
    await typedAndKeys(v);
    await refusal(v);
    await sideBySide(v);
    await kept(v, workshop, recipe);
    v.quiet('what if');
  } catch (e) {
    await v.shot('whatif-where-it-stopped');
    throw e;
  } finally {
    await v.page.context().close();
    await workshop.close();
  }
}

function wide(v) {
  return v.page.getByRole('slider', { name: 'Inner diameter at the fill line' });
}

function ifName(v) {
  return v.page.locator('.what-if .jars li').nth(1).locator('.jars-name');
}

function cellOf(v, row, column) {
  return v.page.locator('.what-if .compare tr', { hasText: row }).first().locator('td').nth(column).innerText();
}

function fine(v) {
  return v.page.waitForFunction(() => document.querySelector('.wi-state')?.textContent === 'As fine as the forecast.');
}


/** A drag over the whole width: answers come before the finger lets go, and the last one stays. */
async function answersWhileMoving(v) {
  const { page } = v;
  await wide(v).evaluate((e) => e.scrollIntoView({ block: 'nearest' }));
  const asked = [];
  const open = new Set();
  let most = 0;
  page.on('request', (r) => {
    const q = new URL(r.url()).searchParams;
    if (!r.url().includes('/what-if') || !q.get('inner_diameter')) return;
    asked.push(q);
    most = Math.max(most, open.add(r).size);
  });
  for (const over of ['requestfinished', 'requestfailed']) page.on(over, (r) => open.delete(r));
  const box = await wide(v).boundingBox();
  const y = box.y + box.height / 2;
  await page.mouse.move(box.x + box.width * 0.44, y);
  await page.mouse.down();
  const before = await cellOf(v, 'pool reach', 1);
  for (let i = 0; i <= 12; i++) await page.mouse.move(box.x + box.width * (0.44 + 0.04 * i), y);
  await page.waitForFunction((old) => [...document.querySelectorAll('.what-if .compare tr')].find((r) => r.textContent.includes('pool reach')).children[2].textContent !== old, before);
  check(`${v.name}: the burn answers while the slider is held`, asked.some((q) => q.get('detail') === 'quick'));
  await page.mouse.up();
  await fine(v);
  const value = Number(await wide(v).inputValue());
  check(`${v.name}: let go, the answer belongs to where the slider stands`, asked.at(-1).get('detail') === 'fine' && asked.at(-1).get('inner_diameter') === `${value} mm`, `${asked.at(-1)}`);
  check(`${v.name}: questions do not pile up: one on its way, at most beside one just given up`, most <= 2 && asked.length > 1, `${most} of ${asked.length}`);
  check(`${v.name}: every question has a higher number than the one before`, asked.every((q, i) => i === 0 || Number(q.get('turn')) > Number(asked[i - 1].get('turn'))));
  check(`${v.name}: a wider jar is poured fuller`, parseFloat(await cellOf(v, 'wax poured', 1)) > parseFloat(await cellOf(v, 'wax poured', 0)));
  const boxes = await Promise.all([0, 1].map((i) => page.locator('.what-if .jar').nth(i).boundingBox()));
  check(`${v.name}: both jars are drawn at one scale`, Math.abs(boxes[0].width - boxes[1].width) < 1 && Math.abs(boxes[0].height - boxes[1].height) < 1);
  await v.inspect('what if');
}

async function typedAndKeys(v) {
  const { page } = v;
  await page.getByRole('button', { name: 'All as it stands' }).click();
  check(`${v.name}: back again, nothing is changed`, (await ifName(v).innerText()).includes('nothing changed'));
  const size = page.getByRole('slider', { name: /^Wick size/ });
  await size.focus();
  await page.keyboard.press('ArrowRight');
  await fine(v);
  const name = await size.getAttribute('aria-valuetext');
  check(`${v.name}: the arrow key takes the next size and says its name`, (await ifName(v).innerText()).includes(name), name);
  check(`${v.name}: a size up burns faster`, parseFloat(await cellOf(v, 'burn rate', 1)) > parseFloat(await cellOf(v, 'burn rate', 0)));
  const load = page.getByRole('textbox', { name: /^Fragrance load.*number$/ });
  await load.fill('99');
  check(`${v.name}: a load out of range is told, and stays typed`, (await load.getAttribute('aria-invalid')) === 'true' && (await load.inputValue()) === '99');
  await load.fill('6');
  await fine(v);
  await page.getByText('2 things are changed at once').waitFor();
  check(`${v.name}: two changes at once are warned of`, true);
  await page.getByRole('button', { name: 'All as it stands' }).click();
}

/** The engine refuses some layouts; its own words then stand where the jars were. The refusal is played by the test. */
async function refusal(v) {
  const { page } = v;
  const told = 'places: two wicks stand 6.0 mm apart; at least 8 mm are needed';
  const door = '**/what-if?*';
  await page.route(door, (route) => route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: 'places', text: told } } }));
  await page.getByRole('textbox', { name: 'Wicks in the jar, number' }).fill('6');
  await page.locator('.wi-refused').waitFor();
  check(`${v.name}: what cannot stand is refused in words`, /^Two wicks stand 6.0\smm apart/.test(await page.locator('.wi-refused').innerText()), await page.locator('.wi-refused').innerText());
  await page.unroute(door);
  await page.getByRole('button', { name: 'All as it stands' }).click();
  await page.locator('.what-if .jar').first().waitFor();
}

async function sideBySide(v) {
  const { page } = v;
  const part = page.locator('#side-by-side');
  await part.locator('.jar').nth(2).waitFor();
  const rates = async () => (await part.locator('.compare tr', { hasText: 'burn rate' }).locator('td').allInnerTexts()).map(parseFloat);
  const at = await rates();
  check(`${v.name}: heavier wicks burn faster, side by side`, at.length === 3 && at[0] < at[1] && at[1] < at[2], at.join());
  const moment = part.getByRole('slider', { name: 'Moment shown of every candle' });
  await moment.focus();
  await page.keyboard.press('Home');
  check(`${v.name}: one slider moves all of them`, (await part.locator('.jar').evaluateAll((l) => l.every((e) => /Session 1, 20\smin lit/.test(e.getAttribute('aria-label'))))));
  await part.getByRole('checkbox').first().check();
  check(`${v.name}: never more than three`, (await part.getByRole('checkbox', { checked: true }).count()) === 3);
  await v.shot('side-by-side');
}

async function kept(v, workshop, recipe) {
  const { page } = v;
  const before = await workshop.get(`/api/recipes/${recipe}`);
  await page.getByRole('textbox', { name: /^Inner diameter.*number$/ }).fill('75');
  await fine(v);
  await page.getByLabel('Name of the new container').fill('');
  await v.inspect('keeping it');
  await page.getByRole('button', { name: `Make this revision ${before.revision.number + 1}` }).click();
  await page.getByText(`Revision ${before.revision.number + 1} is made`).waitFor();
  const after = await workshop.get(`/api/recipes/${recipe}`);
  const jar = await workshop.get(`/api/containers/${after.revision.container.id}`);
  check(`${v.name}: the next revision has the wider jar and nothing else`, after.revision.number === before.revision.number + 1 &&
    jar.profile.at(-1).inner_diameter_mm === 75 && after.revision.load_pct === before.revision.load_pct && after.revision.series.id === before.revision.series.id, JSON.stringify(jar.profile));
  const old = await workshop.get(`/api/containers/${before.revision.container.id}`);
  check(`${v.name}: the jar that was measured stays as it was`, old.profile.at(-1).inner_diameter_mm !== 75);
}
