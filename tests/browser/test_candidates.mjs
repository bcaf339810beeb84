// The rest of the shelf on a recipe's page: asked for when opened, likeliest first, and from there to a revision
// with that wick. The demo is invented.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const ENGINE_WAIT_MS = 400000;
const browser = await launch();
const workshop = new Workshop({ demo: true });
await workshop.start();
const { recipes } = await workshop.get('/api/recipes');
const { id } = recipes.find((r) => r.state === 'described');
const told = await workshop.get(`/api/recipes/${id}/candidates`);
for (const size of ['laptop', 'phone']) await stretch(`${size}: the shelf`, () => shelf(size));
await workshop.close();
await browser.close();
finish();

async function shelf(size) {
  const v = await visit(browser, size);
  const { page } = v;
  let asked = 0;
  page.on('request', (r) => { if (r.url().includes('/candidates')) asked++; });
  await page.route(/\/plan\b|members=/, (route) => route.abort()); // another subject, and dear
  await page.goto(`${workshop.url}/recipes/${id}`);
  const part = page.getByRole('region', { name: 'The shelf' });
  await part.waitFor();
  check(`${size}: the shelf costs nothing until it is opened`, asked === 0);
  await part.getByText('Every other wick in this jar').click();
  await part.locator('.odds-row').first().waitFor({ timeout: ENGINE_WAIT_MS });
  const names = await part.locator('.odds-row .odds-size').allInnerTexts();
  check(`${size}: every series, the likeliest first`, names.join() === told.ways.map((w) => w.best_size ?? w.series.name).join(), names.join());
  check(`${size}: the recipe's own is marked`, (await part.locator('.odds-row', { hasText: 'this recipe' }).count()) === told.ways.filter((w) => w.own).length);
  await v.inspectBoth('the shelf');
  await part.scrollIntoViewIfNeeded();
  await v.view('22-shelf');
  const other = told.ways.find((w) => !w.own && w.best_size);
  await part.locator('.odds-row', { hasText: other.best_size }).getByRole('link', { name: /^Revise to it/ }).click();
  const series = page.locator('select[name="series"]');
  await series.waitFor();
  check(`${size}: the revision has that series`, (await series.inputValue()) === other.series.id);
  check(`${size}: and that size`, (await page.locator('select[name="size"]').inputValue()) === other.sizes.find((s) => s.size_name === other.best_size).size_id);
  await page.context().close();
}
