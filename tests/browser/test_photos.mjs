// A photo of a candle on a phone and at the desk: made small and bare on the page, kept in the outbox while the
// server is gone, sent once behind the readings, shown with its minute and reading, described, taken out.
import { check, finish, launch, stretch, visit } from './lib/browser.mjs';
import { enter } from './lib/programme.mjs';
import { Workshop } from './lib/workshop.mjs';

const PLACE = 'N 48 12 31.5 E 16 22 19.2';
const browser = await launch();
for (const size of ['phone', 'laptop']) await stretch(`${size}: photos`, () => run(size));
await browser.close();
finish();

async function run(size) {
  const workshop = new Workshop({ demo: true });
  await workshop.start();
  const v = await visit(browser, size);
  const { page } = v;
  try {
    const [session] = (await workshop.get('/api/today')).lit;
    const code = session.candles[0].code;
    await page.goto(`${workshop.url}/sessions/${session.id}`);
    await page.locator('.bench-number').waitFor();
    const picture = await pictureOf(page);
    const card = page.locator('.candle', { has: page.locator('h2', { hasText: code }) });

    await choose(card, code, { name: 'note.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('this is no picture') });
    await card.getByText('cannot show that file as a picture').waitFor();
    check(`${size}: what is no picture is refused on the page`, true);

    await choose(card, code, picture);
    await card.getByLabel('What it shows').fill('pool half way, calm flame');
    await v.inspect('photo taken');
    await v.shot('photo-taken');
    await card.getByRole('button', { name: 'Keep the photo' }).click();
    const strip = page.getByRole('list', { name: 'Photos of this session' });
    await strip.getByRole('img', { name: 'pool half way, calm flame' }).waitFor();
    await strip.locator('img[src^="/api/photos"]').waitFor();
    const [kept] = await photos(workshop, session);
    // held upright: rows and columns change places
    check(`${size}: at most 1600 pixels, upright`, kept.width_px === 1067 && kept.height_px === 1600, `${kept.width_px} x ${kept.height_px}`);
    check(`${size}: it has the minute of the session`, Math.abs(kept.minute - session.minute) < 3, `${kept.minute} of ${session.minute}`);
    await bare(workshop, kept.id, size);

    await offline(v, workshop, session, card, code, picture, size);
    await withReading(v, strip, card, code, picture, size);
    await large(v, workshop, session, strip, size);
    const recipe = session.candles[0].recipe_id;
    const { wicks } = await workshop.get(`/api/recipes/${recipe}/verdict`);
    const wick = wicks.find((w) => w.candles.includes(code)).size_id;
    await page.goto(`${workshop.url}/recipes/${recipe}/proof?size=${wick}`);
    await page.locator('.photo-strip').first().waitFor({ timeout: 60000 });
    check(`${size}: the proof shows it too`, (await page.locator('.photo-strip img').count()) >= 1);
    v.quiet('photos');
  } catch (e) {
    await v.shot('photos-where-it-stopped');
    throw e;
  } finally {
    await page.context().close();
    await workshop.close();
  }
}

/** Gone server: the photo waits in the browser, over a reload; the reading typed after it is sent before it. */
async function offline(v, workshop, session, card, code, picture, size) {
  const { page } = v;
  await workshop.stop('SIGKILL');
  await choose(card, code, picture);
  await card.getByRole('button', { name: 'Keep the photo' }).click();
  await card.getByRole('button', { name: /flame height/ }).first().click();
  await page.locator('.pad').waitFor();
  await enter(v, '19');
  await page.getByText('2 not yet sent').first().waitFor();
  check(`${size}: a photo waits in the outbox`, (await page.locator('.photo-strip .tag', { hasText: 'not yet sent' }).count()) === 1);
  await v.shot('photo-waiting');
  await v.inspect('photo waiting');
  const order = [];
  page.on('request', (r) => { if (r.method() === 'POST') order.push(new URL(r.url()).pathname); });
  await workshop.start();
  await page.waitForFunction(() => !document.querySelector('.waiting-button'), null, { timeout: 30000 });
  const all = await photos(workshop, session);
  check(`${size}: back again, it arrived once`, all.length === 2, `${all.length} photos`);
  const firsts = order.filter((p, i) => order.indexOf(p) === i);
  check(`${size}: the reading went first`, firsts.indexOf('/api/readings') < firsts.indexOf('/api/photos'), order.join());
}

/** A photo taken just after a reading belongs to it, unless the maker says otherwise. */
async function withReading(v, strip, card, code, picture, size) {
  await choose(card, code, picture);
  const chosen = await card.getByLabel('Taken with').evaluate((e) => e.selectedOptions[0].textContent);
  check(`${size}: the reading just taken is offered`, /flame height 19\smm/.test(chosen), chosen);
  await card.getByRole('button', { name: 'Keep the photo' }).click();
  await strip.getByText('flame height 19 mm').waitFor();
  await v.page.waitForFunction(() => document.querySelectorAll('.photo-strip img[src^="/api/photos"]').length === 3);
}

async function large(v, workshop, session, strip, size) {
  const { page } = v;
  await strip.getByRole('button').first().click();
  const figure = page.locator('.photo-large');
  await figure.locator('img').waitFor();
  await page.waitForFunction(() => document.querySelector('.photo-large img')?.naturalHeight === 1600);
  check(`${size}: the whole picture opens`, true);
  await figure.getByLabel('What it shows').fill('hang-up on the left');
  await v.inspect('photo large');
  await v.shot('photo-large');
  await figure.getByRole('button', { name: 'Keep the words' }).click();
  await strip.getByRole('img', { name: 'hang-up on the left' }).waitFor();
  await strip.getByRole('button').last().click();
  await figure.getByRole('button', { name: 'Take it out' }).click();
  await figure.getByRole('button', { name: 'Take the photo out' }).click();
  await page.waitForFunction(() => document.querySelectorAll('.photo-strip li').length === 2);
  check(`${size}: taken out it is shown no more`, (await photos(workshop, session)).length === 2);
}

async function bare(workshop, id, size) {
  const answer = await fetch(`${workshop.url}/api/photos/${id}`);
  const bytes = Buffer.from(await answer.arrayBuffer());
  check(`${size}: it comes as JPEG, and nothing may guess otherwise`, answer.headers.get('content-type') === 'image/jpeg' && answer.headers.get('x-content-type-options') === 'nosniff');
  check(`${size}: the content policy is as strict as ever`, answer.headers.get('content-security-policy').startsWith("default-src 'none'"));
  check(`${size}: no place, no EXIF`, bytes.readUInt16BE(0) === 0xffd8 && !bytes.includes(PLACE) && !bytes.includes('Exif'));
}

async function photos(workshop, session) {
  return (await workshop.get(`/api/photos?session=${session.id}`)).photos;
}

function choose(card, code, file) {
  return card.getByLabel(`Photo of ${code}`).setInputFiles(file);
}

/** A JPEG as a phone takes it, held upright, with place and date in its EXIF block. */
async function pictureOf(page) {
  const base64 = await page.evaluate(async () => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 2400, height: 1600 });
    const ctx = canvas.getContext('2d');
    const glow = ctx.createRadialGradient(1200, 800, 50, 1200, 800, 1100);
    for (const [at, colour] of [[0, '#fff7d8'], [0.25, '#f0c27a'], [0.6, '#c57f1d'], [1, '#3c2410']]) glow.addColorStop(at, colour);
    ctx.fillStyle = glow;
    ctx.fillRect(0, 0, 2400, 1600);
    const blob = await new Promise((done) => canvas.toBlob(done, 'image/jpeg', 0.9));
    return btoa(Array.from(new Uint8Array(await blob.arrayBuffer()), (b) => String.fromCharCode(b)).join(''));
  });
  const plain = Buffer.from(base64, 'base64');
  const tiff = Buffer.from([0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0]);
  const exif = Buffer.concat([Buffer.from('Exif\0\0'), tiff, Buffer.from(PLACE)]);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(exif.length + 2);
  return { name: 'photo.jpg', mimeType: 'image/jpeg', buffer: Buffer.concat([plain.subarray(0, 2), Buffer.from([0xff, 0xe1]), length, exif, plain.subarray(2)]) };
}
