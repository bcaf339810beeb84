// Parts of the recipe that were tried by hand before: wicks dragged into place seen from above, by
// pointer and by keyboard, kept and found again; and the panel that says what a forecast hangs on.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
for (const size of ['phone', 'laptop']) {
  await stretch(`${size}: layout`, () => layout(size));
  await stretch(`${size}: why`, () => why(size));
  await stretch(`${size}: candle by candle`, () => candles(size));
}
await workshop.close();
await browser.close();
finish();

/** Odds and plan take the engine for long and are no part of this. */
async function withoutPlan(v) {
  await v.page.route(/\/plan\?|members=32/, (route) => route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: '', text: 'not now' } } }));
}

async function layout(size) {
  const v = await visit(browser, size);
  const { page } = v;
  await withoutPlan(v);
  await page.goto(`${workshop.url}/recipes/new`);
  await page.getByLabel('Name of the recipe', { exact: true }).fill(`Two flames, ${size}`);
  for (const name of ['container', 'waxes.0.id', 'series']) await page.locator(`select[name="${name}"]`).selectOption({ index: 1 });
  await page.getByLabel('Wicks in the jar', { exact: true }).fill('2');
  const wicks = page.locator('.place-wicks .above-wick');
  await wicks.nth(1).waitFor();
  const places = () => wicks.evaluateAll((l) => l.map((e) => e.getAttribute('aria-label').replace(/\u00a0/g, ' ')));
  const [first, second] = await places();
  await drag(page, wicks.nth(0), -12, 20);
  const moved = await places();
  check(`${size}: the dragged wick stands elsewhere, the other where it was`, moved[0] !== first && moved[1] === second, moved.join(' / '));
  check(`${size}: the page says that it was placed by hand`, await page.getByText('Placed by hand.').isVisible());
  await wicks.nth(1).focus();
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('ArrowUp');
  check(`${size}: arrow keys move a wick by a millimetre`, /2 mm up/.test((await places())[1]), (await places())[1]);
  // no further than the wall, however far the finger goes
  await drag(page, wicks.nth(1), -900, 0);
  const gaps = (await page.locator('.above-table tbody tr td:nth-child(3)').allInnerTexts()).map(parseFloat);
  check(`${size}: no wick leaves the jar`, gaps.every((g) => g >= 1), gaps.join());
  await page.getByRole('button', { name: 'Equal shares' }).click();
  check(`${size}: equal shares put them back`, (await places()).join() === [first, second].join());
  await drag(page, wicks.nth(0), 0, 12);
  await v.inspect('layout');
  const drawn = (await places())[0];
  await page.getByRole('button', { name: 'Keep and forecast' }).click();
  await page.waitForURL(/\/recipes\/[0-9a-f-]{36}$/);
  const kept = await workshop.get(`/api/recipes/${new URL(page.url()).pathname.split('/').pop()}`);
  const at = kept.revision.places[0];
  check(`${size}: it is kept as it was drawn`, kept.revision.places_default === false && drawn.includes(`${Math.abs(at.x_mm)} mm ${at.x_mm > 0 ? 'right' : 'left'}`), `${drawn} ${JSON.stringify(at)}`);
  await page.locator('#candle .above-wick').nth(1).waitFor();
  check(`${size}: the recipe shows it from above`, (await page.locator('#candle .above').getByRole('img').getAttribute('aria-label')).replace(/\u00a0/g, ' ').includes(`${Math.abs(at.x_mm)} mm`));
  v.quiet('layout');
  await page.context().close();
}

/** In pixels; a finger goes there in steps. */
async function drag(page, wick, dx, dy) {
  await wick.evaluate((e) => e.scrollIntoView({ block: 'center' }));
  const box = await wick.locator('.above-dot').boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + dx, y + dy, { steps: 5 });
  await page.mouse.up();
}

async function why(size) {
  const v = await visit(browser, size);
  const { page } = v;
  await withoutPlan(v);
  const { recipes } = await workshop.get('/api/recipes');
  const recipe = recipes.find((r) => r.state === 'proven').id;
  let asked = 0;
  page.on('request', (r) => { if (r.url().includes('/why?')) asked++; });
  await page.goto(`${workshop.url}/recipes/${recipe}`);
  await page.locator('.player').waitFor();
  check(`${size}: why costs nothing until it is opened`, asked === 0);
  await page.getByText('What limits the flame').click();
  await page.locator('.why-list li').first().waitFor({ timeout: 60000 });
  const shown = await workshop.get(`/api/recipes/${recipe}/why?wick=${await page.locator('.sizes input[name="wick-shown"]:checked').evaluate((e) => encodeURIComponent(e.parentElement.textContent))}`);
  const names = await page.locator('.why-name b').allInnerTexts();
  check(`${size}: the unknowns that matter most, in the engine's order`, names.length === 4 && names.every((n, i) => n.toLowerCase() === shown.factors[i].label.toLowerCase()), names.join());
  check(`${size}: what holds the flame back is said in a sentence`, (await page.locator('.why .story').innerText()).length > 40);
  await v.inspect('why');
  v.quiet('why');
  await page.context().close();
}

/** The test of several candles: each on the same axes, with the verdict of its wick. */
async function candles(size) {
  const v = await visit(browser, size);
  const { page } = v;
  await withoutPlan(v);
  const { recipes } = await workshop.get('/api/recipes');
  const recipe = recipes.find((r) => r.state === 'proven').id;
  const told = await workshop.get(`/api/recipes/${recipe}/verdict`);
  await page.goto(`${workshop.url}/recipes/${recipe}/proof`);
  const codes = told.wicks.flatMap((w) => w.candles);
  await page.locator('.each-candle .chart-point').first().waitFor();
  check(`${size}: every candle has its chart`, (await page.locator('.each-candle figcaption').allInnerTexts()).map((t) => t.split(/\s/)[0]).join() === codes.join());
  await page.getByRole('radio', { name: 'Hottest wall' }).check();
  await page.waitForFunction((n) => document.querySelectorAll('.each-candle .chart-line').length === n, codes.length);
  const axes = await page.locator('.each-candle svg').evaluateAll((l) => l.map((e) => [...e.querySelectorAll('.chart-tick[text-anchor="end"]')].map((t) => t.textContent).join(' ')));
  check(`${size}: all on the same axis`, new Set(axes).size === 1, [...new Set(axes)].join(' / '));
  await v.inspect('candle by candle');
  v.quiet('candle by candle');
  await page.context().close();
}
