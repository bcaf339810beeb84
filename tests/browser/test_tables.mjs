// Tables in and out, on a phone and at the desk: saved, tried, wrong lines told, taken in.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { Workshop } from './lib/workshop.mjs';

const HEAD = 'series,construction,size,linear_density_g_m\r\n';
const file = (name, text) => ({ name, mimeType: 'text/csv', buffer: Buffer.from(text) });

const browser = await launch();
for (const size of ['phone', 'laptop']) await stretch(`${size}: tables`, () => run(size));
await browser.close();
finish();

async function run(size) {
  const workshop = new Workshop({ demo: true });
  await workshop.start();
  const v = await visit(browser, size);
  const { page } = v;
  try {
    await page.goto(`${workshop.url}/shelf?of=series`);
    await page.getByRole('link', { name: 'Tables in and out' }).click();
    await page.getByRole('link', { name: 'Save series.csv' }).waitFor();
    await v.inspect('tables');
    await v.shot('tables');
    const saved = await saveTable(page);
    check(`${size}: the table is saved under its name`, saved.name === 'series.csv');
    check(`${size}: it begins with its columns`, saved.text.startsWith('series,construction,size,linear_density_g_m,'), saved.text.slice(0, 60));

    await choose(page, file('back.csv', saved.text));
    await page.getByText('Nothing new in it').waitFor();
    check(`${size}: what is there already cannot be taken in twice`, (await page.getByRole('button', { name: /^Take in/ }).count()) === 0);

    await choose(page, file('wrong.csv', `${HEAD}"Thin, new",std-wick-flat-braid,1,0.9\r\n"Thin, new",std-wick-flat-braid,2,90\r\n`));
    await page.getByText('1 mistake in 2 rows').waitFor();
    const told = await page.getByRole('region', { name: 'Mistakes, table' }).innerText();
    check(`${size}: line, column, value and range are told`, /3\s+linear_density_g_m\s+90 g\/m is outside 0\.1 g\/m to 20 g\/m/.test(told), told);
    check(`${size}: a wrong table cannot be taken in`, (await page.getByRole('button', { name: /^Take in/ }).count()) === 0);
    await v.inspect('tables-wrong');
    await v.shot('tables-wrong');

    await choose(page, file('odd.csv', Buffer.from([0x61, 0xff, 0xfe])));
    await page.getByText('This is not UTF-8 text').waitFor();

    await choose(page, file('right.csv', `\uFEFF${HEAD}"Thin, new",std-wick-flat-braid,1,0.9\r\n"Thin, new",std-wick-flat-braid,2,450 yd/lb\r\n`));
    await page.getByText('This would be the change: 1 added').waitFor();
    const before = (await workshop.get('/api/series')).series.length;
    await v.inspect('tables-tried');
    await v.shot('tables-tried');
    await page.getByRole('button', { name: 'Take in right.csv' }).click();
    await page.getByText('is taken in: 1 added').waitFor();
    const { series } = await workshop.get('/api/series');
    check(`${size}: tried it was not kept, taken in it is`, series.length === before + 1);
    const thin = series.find((s) => s.name === 'Thin, new');
    // 450 yd/lb = 496.054648 / 450 g/m: ASTM D2260 Table 1
    check(`${size}: yards per pound came in as grams per metre`, Math.abs(thin.sizes[1].linear_density_g_m - 1.10234366) < 1e-6);
    v.quiet('tables');
  } finally {
    await page.context().close();
    await workshop.close();
  }
}

function choose(page, f) {
  return page.getByLabel('File to take in').setInputFiles(f);
}

async function saveTable(page) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'Save series.csv' }).click()]);
  const chunks = [];
  for await (const chunk of await download.createReadStream()) chunks.push(chunk);
  return { name: download.suggestedFilename(), text: Buffer.concat(chunks).toString('utf8') };
}
