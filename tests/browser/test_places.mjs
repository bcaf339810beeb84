// Where wicks stand by equal shares: what is drawn is what the door tells and what will be burned, in every
// outline and with every number of wicks; a slider draws the same in proportion and asks once it rests;
// while nothing is known nothing is drawn. Distances to an oval's wall are held against many points of it.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { pagesCode } from './lib/pure.mjs';
import { Workshop } from './lib/workshop.mjs';

const JARS = {
  box: { inner_diameter: '110 mm', outline: 'rectangle', across: '80 mm', corner: '12 mm' },
  square: { inner_diameter: '100 mm', outline: 'rectangle', across: '100 mm', corner: '10 mm' },
  tub: { inner_diameter: '130 mm', outline: 'oval', across: '80 mm' },
  bowl: { inner_diameter: '110 mm' },
};
const SEEN = [['tub', 5], ['box', 5], ['box', 6], ['square', 3]]; // pictures of these are kept

const workshop = new Workshop();
const browser = await launch();
await stretch('distances to the wall', walls);
await workshop.start();
await stretch('describing', describe);
for (const size of ['phone', 'laptop']) await stretch(`${size}: the form`, () => form(size));
await stretch('what if', whatIf);
await workshop.close();
await browser.close();
finish();

async function post(path, body) {
  const r = await fetch(workshop.url + path, { method: 'POST', headers: { 'content-type': 'application/json', origin: workshop.url }, body: JSON.stringify(body) });
  const answer = await r.json();
  if (!r.ok) throw new Error(answer.error.text);
  return answer;
}

async function walls() {
  const { gapAt, wallFrom } = await pagesCode("export { gapAt, wallFrom } from './above';");
  const AT = 20000;
  for (const [long_mm, across_mm] of [[130, 80], [130, 33], [90, 90], [90, 89.99]]) {
    const [a, b] = [long_mm / 2, across_mm / 2];
    const above = { outline: 'oval', long_mm, across_mm, corner_mm: 0 };
    for (const u of [0, 0.2, -0.5, 0.8, 0.97]) {
      for (const w of [0, 1e-13, 0.05, -0.4, 0.9]) {
        const s = { x: a * u, y: b * w * Math.sqrt(1 - u * u) };
        let least = Infinity;
        for (let i = 0; i < AT; i++) least = Math.min(least, Math.hypot(a * Math.cos((2 * Math.PI * i) / AT) - s.x, b * Math.sin((2 * Math.PI * i) / AT) - s.y));
        const [gap, to] = [gapAt(above, s), wallFrom(above, s)];
        const what = `${long_mm} by ${across_mm}, ${s.x.toFixed(2)} ${s.y.toFixed(2)}`;
        check(`${what}: as far as the nearest of many points of the wall`, Math.abs(gap - least) < 1e-3, `${gap} ${least}`);
        check(`${what}: the nearest point is on the wall, so far away`, Math.abs((to.x / a) ** 2 + (to.y / b) ** 2 - 1) < 1e-8 && Math.abs(Math.hypot(to.x - s.x, to.y - s.y) - gap) < 1e-6, JSON.stringify(to));
      }
    }
  }
  for (const above of [{ outline: 'rectangle', long_mm: 100, across_mm: 60, corner_mm: 12 }, { outline: 'rectangle', long_mm: 60, across_mm: 60, corner_mm: 0 }, { outline: 'round', long_mm: 80, across_mm: 80, corner_mm: 0 }]) {
    for (const s of [{ x: 0, y: 0 }, { x: 20, y: 0 }, { x: -25, y: 20 }, { x: 27, y: -28 }]) {
      const [gap, to] = [gapAt(above, s), wallFrom(above, s)];
      check(`${above.outline}, ${s.x} ${s.y}: the nearest point is on the wall, so far away`, Math.abs(gapAt(above, to)) < 1e-9 && Math.abs(Math.hypot(to.x - s.x, to.y - s.y) - gap) < 1e-9, `${gap} ${JSON.stringify(to)}`);
    }
  }
}

async function describe() {
  await post('/api/series', { name: 'flat', construction: 'std-wick-flat-braid', sizes: [{ name: '1', linear_density: '0.8 g/m' }] });
  for (const [name, sides] of Object.entries(JARS)) JARS[name].id = (await post('/api/containers', { name, material: 'std-container-stoneware', height: '60 mm', wall: '4 mm', ...sides })).id;
}

function door(jar, n, more = {}) {
  return workshop.get(`/api/containers/${JARS[jar].id}/places?${new URLSearchParams({ wick_count: n, ...more })}`);
}

/** Where wicks are drawn, in mm: by the drawing's own scale, which the longer side gives. */
function drawn(page, long_mm) {
  return page.locator('.above').first().evaluate((e, mm) => [...e.querySelectorAll('.above-wick')].map((g) => {
    const [, x, y] = /\((\S+) (\S+)\)/.exec(g.getAttribute('transform'));
    return { x: (Number(x) / 260) * mm, y: (-Number(y) / 260) * mm };
  }), long_mm);
}

function same(a, b) {
  return a.length === b.length && a.every((s, i) => Math.hypot(s.x - b[i].x_mm, s.y - b[i].y_mm) < 0.01);
}

async function leastOf(page, cls) {
  return Math.min(...(await page.locator(`text${cls}`).allTextContents()).map(Number));
}

/** Equal as far as digits are written. */
function agree(written, exact) {
  return Math.abs(written - exact) <= 0.51 * 10 ** -((String(written).split('.')[1] ?? '').length);
}

async function form(size) {
  const v = await visit(browser, size, size === 'phone' ? { viewport: { width: 390, height: 844 } } : {});
  const { page } = v;
  await page.goto(`${workshop.url}/recipes/new`);
  for (const [jar, { id, inner_diameter }] of Object.entries(JARS)) {
    await page.locator('select[name="container"]').selectOption(id);
    for (let n = 2; n <= 6; n++) {
      const what = `${size}, ${n} in a ${jar}`;
      await page.getByLabel('Wicks in the jar', { exact: true }).fill(String(n));
      const told = await door(jar, n);
      await page.locator('.above-wick').nth(n - 1).waitFor();
      const at = await drawn(page, parseFloat(inner_diameter));
      check(`${what}: drawn where the door tells`, same(at, told.places), JSON.stringify([at, told.places]));
      const [wall, apart] = [await leastOf(page, '.above-gap'), await leastOf(page, '.above-apart')];
      check(`${what}: the distances written are the door's`, agree(wall, told.wall_clearance_mm) && agree(apart, told.wick_clearance_mm), `${wall} ${told.wall_clearance_mm}, ${apart} ${told.wick_clearance_mm}`);
      if (SEEN.some(([j, m]) => j === jar && m === n)) {
        await page.locator('.place-wicks').evaluate((e) => e.scrollIntoView({ block: 'start' }));
        await v.view(`places-${jar}-${n}`);
      }
    }
  }
  await away(v);
  v.quiet('places');
  await page.context().close();
}

/** A number never asked about before: without an answer no wick is drawn, and it is said; then they are there. */
async function away(v) {
  const { page } = v;
  const other = (await post('/api/containers', { name: `other, ${v.name}`, material: 'std-container-stoneware', height: '60 mm', wall: '4 mm', ...JARS.tub, id: undefined })).id;
  await page.reload();
  await page.locator('select[name="container"]').selectOption(other);
  await page.route('**/places?*', (route) => route.abort());
  await page.getByLabel('Wicks in the jar', { exact: true }).fill('4');
  await page.getByText('which does not answer now').waitFor();
  check(`${v.name}: without an answer no wick is drawn`, (await page.locator('.above').isVisible()) && (await page.locator('.above-wick').count()) === 0);
  await page.unroute('**/places?*');
  await page.getByLabel('Wicks in the jar', { exact: true }).fill('5');
  await page.locator('.above-wick').nth(4).waitFor();
  await page.route('**/places?*', (route) => route.abort());
  await page.locator('input[name="headspace"]').fill('20 mm');
  await page.waitForTimeout(600);
  check(`${v.name}: what was told last stays while there is no answer`, (await page.locator('.above-wick').count()) === 5);
  await page.unroute('**/places?*');
}

async function whatIf() {
  const places = '30 mm: 0 mm, 0 mm: 10 mm, -30 mm: 0 mm';
  const recipe = await post('/api/recipes', { name: 'by hand', container: 'tub', waxes: 'std-wax-soy', series: 'flat', size: '1', wick_count: 3, places });
  const v = await visit(browser, 'laptop');
  const { page } = v;
  await page.route('**/forecast?*', (route) => route.continue({ url: `${route.request().url()}&grid=4%20mm` }));
  await page.route(/\/(plan|odds|candidates|why)\b/, (route) => route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: '', text: 'not now' } } }));
  const burned = [];
  await page.route('**/what-if?*', (route) => {
    burned.push(new URL(route.request().url()).searchParams);
    return route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: '', text: 'not now' } } });
  });
  const asked = [];
  page.on('request', (r) => r.url().includes('/places?') && asked.push(new URL(r.url()).searchParams));
  await page.goto(`${workshop.url}/recipes/${recipe.id}`);
  await page.locator('.wi-layout .above-wick').nth(2).waitFor();
  const at = (mm = 130) => drawn(page.locator('.wi-layout'), mm);
  check('what if: as the recipe has them, and nothing asked', same(await at(), recipe.revision.places) && asked.every((q) => q.get('wick_count') === '3'));
  await page.locator('.wi-layout').getByRole('button', { name: 'Equal shares' }).click();
  const three = await door('tub', 3);
  await page.getByText('In equal shares of the wax.').waitFor();
  check('what if: the button draws what the door tells', same(await at(), three.places), JSON.stringify(await at()));
  await page.waitForTimeout(500);
  check('what if: and leaves the places to the door', burned.length > 0 && burned.at(-1).get('places')?.trim() === '', burned.at(-1)?.toString());
  // along the slider in proportion, at rest as told
  const before = asked.length;
  const wide = page.getByRole('slider', { name: 'Longer inner side at the fill line' });
  await wide.focus();
  for (let i = 0; i < 10; i++) await page.keyboard.press('ArrowRight');
  check('what if: on the way the same in proportion, without a question', asked.length === before && same(await at(), three.places), JSON.stringify(await at()));
  await page.waitForTimeout(800);
  const wider = await door('tub', 3, { inner_diameter: '135 mm' });
  check('what if: at rest asked once, and drawn as told', asked.length === before + 1 && asked.at(-1).get('inner_diameter') === '135 mm' && same(await at(135), wider.places), `${asked.length - before} ${JSON.stringify(await at(135))}`);
  await page.getByRole('textbox', { name: 'Wicks in the jar, number' }).fill('5');
  await page.locator('.wi-layout .above-wick').nth(4).waitFor();
  await page.locator('.wi-layout').evaluate((e) => e.scrollIntoView({ block: 'start' }));
  await v.view('places-what-if');
  check('what if: another number stands as told', same(await at(135), (await door('tub', 5, { inner_diameter: '135 mm' })).places));
  // kept: the next revision has no places of its own
  await page.getByRole('button', { name: 'All as it stands' }).click();
  await page.locator('.wi-layout').getByRole('button', { name: 'Equal shares' }).click();
  await page.getByRole('button', { name: 'Make this revision 2' }).click();
  await page.getByText('Revision 2 is made: wicks in equal shares').waitFor();
  const { revision } = await workshop.get(`/api/recipes/${recipe.id}`);
  check('what if: kept in equal shares', revision.places_default === true && JSON.stringify(revision.places) === JSON.stringify(three.places), JSON.stringify(revision.places));
  v.quiet('what if');
  await page.context().close();
}
