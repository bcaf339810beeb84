// The jar cut open, with several wicks or one beside the centre: a flame over every wick the cut runs
// through and over no other place, a half that only repeats the other one is faint, and a line says so.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const JARS = {
  trough: { inner_diameter: '100 mm', outline: 'rectangle', across: '60 mm' },
  square: { inner_diameter: '110 mm', outline: 'rectangle', across: '110 mm' },
  tub: { inner_diameter: '130 mm', outline: 'oval', across: '80 mm' },
  bowl: { inner_diameter: '100 mm' },
};
// jar, wicks, where flames stand in the drawing, what is said of the cut
const CUTS = [
  ['bowl', 1, [0], ''],
  ['trough', 2, [-25, 25], ''],
  ['trough', 3, [-33.333, 0, 33.333], ''],
  ['square', 4, [-38.891, 38.891], 'through 2 of the 4 wicks'],
  ['tub', 5, [23.157], 'through 1 of the 5 wicks, on the right'],
  ['bowl', 3, [25], 'through 1 of the 3 wicks, on the right'],
  ['bowl', 1, [20], 'through the wick, on the right', '20 mm: 0 mm'],
];

const workshop = new Workshop();
const browser = await launch();
await workshop.start();
await stretch('describing', describe);
for (const size of ['phone', 'laptop']) await stretch(`${size}: several wicks`, () => drawings(size));
await workshop.close();
await browser.close();
finish();

async function post(path, body) {
  const r = await fetch(workshop.url + path, { method: 'POST', headers: { 'content-type': 'application/json', origin: workshop.url }, body: JSON.stringify(body) });
  const answer = await r.json();
  if (!r.ok) throw new Error(answer.error.text);
  return answer;
}

async function describe() {
  await post('/api/series', { name: 'flat', construction: 'std-wick-flat-braid', sizes: [{ name: '1', linear_density: '0.8 g/m' }] });
  for (const [name, sides] of Object.entries(JARS)) await post('/api/containers', { name, material: 'std-container-stoneware', height: '40 mm', wall: '4 mm', ...sides });
  for (const [i, [container, wick_count, , , places]] of CUTS.entries()) {
    const { id } = await post('/api/recipes', { name: `cut ${i}`, container, waxes: 'std-wax-soy', series: 'flat', fill_height: '25 mm', wick_count, ...(places ? { places } : {}) });
    CUTS[i].id = id;
  }
}

async function drawings(size) {
  const v = await visit(browser, size);
  const { page } = v;
  // a coarse burn is drawn as a fine one is, and odds are no part of this
  await page.route('**/forecast?*', (route) => route.continue({ url: `${route.request().url()}&grid=4%20mm` }));
  await page.route(/\/(plan|odds|candidates|why)\b/, (route) => route.fulfill({ status: 400, json: { error: { status: 'EP_E_ARG', field: '', text: 'not now' } } }));
  for (const cut of CUTS) {
    const [jar, n, places, note] = cut;
    const what = `${size}, ${n} in a ${jar}`;
    await page.goto(`${workshop.url}/recipes/${cut.id}`);
    await page.locator('.player .jar').waitFor();
    const at = await page.locator('.player .jar-candle').evaluateAll((all) => all.map((g) => Number(/\((\S+)/.exec(g.getAttribute('transform'))[1])));
    check(`${what}: flames stand where wicks are cut`, at.length === places.length && at.every((x, i) => Math.abs(x - places[i]) < 0.01), at.join());
    const said = await page.locator('.player-jar .legend').allTextContents();
    check(`${what}: what the cut leaves out is said`, note ? said.some((t) => t.includes(note)) : said.length === 1, said.join(' | '));
    check(`${what}: the half that is not there is faint`, (await page.locator('.player .jar-axis').count()) === (note.includes('right') ? 1 : 0));
  }
  check(`${size}: another grid is owned up to`, await page.getByText('On cells of 4 mm instead of 3 mm').isVisible());
  await v.view('several');
  v.quiet('several wicks');
  await page.context().close();
}
