// The steps of a maker through a whole test programme, as functions of a visit.
import { check } from './browser.mjs';

/** By its label, as a person finds it. */
export const fill = (v, label, text) => v.page.getByLabel(label, { exact: true }).fill(text);

const press = (v, name) => v.page.getByRole('button', { name, exact: false }).first().click();

export async function measureJar(v) {
  const { page } = v;
  await page.getByRole('link', { name: 'Measure a jar' }).click();
  await page.getByRole('heading', { name: 'Measure a container' }).waitFor();
  await fill(v, 'A, inner diameter', 'about three');
  await fill(v, 'B, inner height', '3 1/2 in');
  await fill(v, 'C, wall thickness', '30 in');
  await press(v, 'Keep this container');
  await refusedAt(v, 'Name', 'a forgotten name');
  await refusedAt(v, 'Made of', 'a forgotten material');
  await refusedAt(v, 'A, inner diameter', 'nonsense for a diameter');
  await refusedAt(v, 'C, wall thickness', 'a wall out of range', /762 mm.*0\.1 mm.*30 mm/);
  check(`${v.name}: four mistakes are told at once, no other field is accused`, (await page.locator('[aria-invalid="true"]').count()) === 4 &&
    /4 things to put right/.test(await page.locator('.form-problem').innerText()));
  check(`${v.name}: the first of them takes the focus`, (await page.evaluate(() => document.activeElement?.getAttribute('name'))) === 'name');
  await v.shot('02-refused');
  await v.inspect('refused container');
  await fill(v, 'Name', 'Tumbler by tape');
  check(`${v.name}: what was put right is no longer accused`, (await page.locator('[aria-invalid="true"]').count()) === 3);
  await page.getByLabel('Made of').selectOption({ index: 1 });
  await fill(v, 'C, wall thickness', '3 mm');
  await fill(v, 'A, inner diameter', '7 mm');
  await press(v, 'Keep this container');
  await refusedAt(v, 'A, inner diameter', 'a diameter out of range', /7 mm.*15 mm.*400 mm/);
  check(`${v.name}: nothing typed is lost over refusals`, (await page.getByLabel('B, inner height', { exact: true }).inputValue()) === '3 1/2 in' &&
    (await page.getByLabel('Name', { exact: true }).inputValue()) === 'Tumbler by tape');
  await page.reload();
  await page.getByLabel('Name', { exact: true }).waitFor();
  check(`${v.name}: what was typed outlives a reload`, (await page.getByLabel('Name', { exact: true }).inputValue()) === 'Tumbler by tape');
  await fill(v, 'A, inner diameter', '2.8 in');
  await fill(v, 'Mass of water optional', '12 oz');
  check(`${v.name}: inches are read back in millimetres`, /= 71\.1\smm/.test(await page.locator('.field', { hasText: 'A, inner diameter' }).innerText()));
  await v.shot('03-container');
  await press(v, 'Keep this container');
  await page.waitForURL(/\/recipes\/new/);
}

/** A refusal stands at its field, is announced, and takes the focus. */
async function refusedAt(v, label, what, pattern = /./) {
  const field = v.page.getByLabel(label, { exact: true });
  await v.page.locator('[aria-invalid="true"]').first().waitFor();
  const invalid = await field.getAttribute('aria-invalid');
  const told = invalid ? await v.page.locator('.field', { has: field }).locator('.field-problem').innerText() : '';
  check(`${v.name}: ${what} is refused at its field`, invalid === 'true' && pattern.test(told), `${label}: ${invalid}, "${told}"`);
}

export async function describeSeries(v, base) {
  const { page } = v;
  await page.goto(`${base}/shelf/series/new?back=/recipes/new`);
  await fill(v, 'Name', 'Flat cotton, weighed here');
  const made = page.getByLabel('How it is made');
  await made.selectOption({ label: await option(made, /flat/i) });
  await press(v, 'Add a size');
  const yields = ['0.8 g/m', '1.1 g/m', '355 yd/lb', '1.8 g/m'];
  for (let i = 0; i < yields.length; i++) {
    const row = page.locator('.size-row').nth(i);
    await row.getByLabel(`Size ${i + 1}`, { exact: true }).fill(String(i + 1));
    await row.getByLabel('Mass per length').fill(yields[i]);
  }
  await v.shot('04-series');
  await v.inspect('series form');
  await press(v, 'Keep this series');
  await page.waitForURL(/\/recipes\/new/);
}

/** The first real option whose text fits; the very first only says "choose". */
async function option(box, pattern) {
  const texts = (await box.locator('option').allInnerTexts()).slice(1);
  return texts.find((t) => pattern.test(t)) ?? texts[0];
}

export async function writeRecipe(v) {
  const { page } = v;
  await fill(v, 'Name of the recipe', 'First try, fig');
  for (const [name, pattern] of [['container', /Tumbler/], ['waxes.0.id', /soy/i], ['fragrance', /(?!Unscented)/], ['series', /weighed here/]]) {
    const box = page.locator(`select[name="${name}"]`);
    if (!(await box.inputValue())) await box.selectOption({ label: await option(box, pattern) });
  }
  await fill(v, 'Load', '80 %');
  await press(v, 'Keep and forecast');
  await refusedAt(v, 'Load', 'a load of 80 per cent', /80 %.*30 %/);
  await fill(v, 'Load', '8');
  check(`${v.name}: both bases of the load are shown`, /8\.00 %[\s\S]*7\.41 %/.test(await page.locator('.both-bases').innerText()));
  await v.shot('05-recipe-form');
  await v.inspect('recipe form');
  await press(v, 'Keep and forecast');
  await page.waitForURL(/\/recipes\/[0-9a-f-]{36}$/);
  return new URL(page.url()).pathname.split('/').pop();
}

export async function foresee(v) {
  const { page } = v;
  await page.locator('.jar').first().waitFor();
  const moment = page.getByLabel('Time in the life of the candle');
  const before = await page.locator('.player .figures').innerText();
  await moment.focus();
  for (let i = 0; i < 6; i++) await page.keyboard.press('ArrowRight');
  check(`${v.name}: the numbers follow the time`, (await page.locator('.player .figures').innerText()) !== before);
  const painted = await page.locator('.jar-wax').first().evaluate((c) => {
    const { data } = c.getContext('2d').getImageData(0, 0, c.width, c.height);
    let n = 0;
    for (let i = 3; i < data.length; i += 4) n += data[i] > 0;
    return n / (c.width * c.height);
  });
  check(`${v.name}: the jar holds wax`, painted > 0.2 && painted < 1, `share painted ${painted}`);
  await page.locator('.odds-row').first().waitFor({ timeout: 240000 });
  check(`${v.name}: every size has its odds`, (await page.locator('.odds-row').count()) === 4);
  await page.locator('.plan .story').waitFor();
  check(`${v.name}: the plan says a sentence`, (await page.locator('.plan .story').innerText()).length > 20);
  await page.locator('.chart-band').first().waitFor({ timeout: 240000 });
  await page.getByText('Numbers of Burn rate').click();
  check(`${v.name}: a table stands under the chart`, await page.locator('.chart-table table').first().isVisible());
  await v.shot('06-recipe');
  await v.inspect('recipe');
}

export async function pourSet(v) {
  const { page } = v;
  await page.getByRole('link', { name: /Pour this set/ }).click();
  await page.getByRole('heading', { name: 'Pour', exact: true }).waitFor();
  const counts = page.locator('.counts input');
  const n = await counts.count();
  for (let i = 0; i < n; i++) await counts.nth(i).fill(i === 0 || i === 2 ? '1' : '');
  await page.locator('.weigh .total').waitFor();
  await fill(v, 'Wax', '12 oz');
  await fill(v, 'Poured at', '140 F');
  await fill(v, 'Room', '21');
  await v.shot('07-pour');
  await v.inspect('pour');
  await press(v, '2 candles poured');
  await page.waitForURL(/\/pours\/[0-9a-f-]{36}$/);
  await page.locator('.code.huge').first().waitFor();
  const codes = await page.locator('.code.huge').allInnerTexts();
  check(`${v.name}: two candles have codes`, codes.length === 2 && codes.every((c) => /^[A-Z0-9]{3,}$/.test(c)), codes.join());
  await v.shot('08-codes');
  await v.inspect('poured');
  return codes;
}

export async function lightAll(v, recipe, masses) {
  const { page } = v;
  await page.getByRole('heading', { name: 'Light candles' }).waitFor();
  await page.locator('.check').first().waitFor();
  for (const [code, mass] of Object.entries(masses)) {
    const box = page.getByLabel(new RegExp(`^${code},`));
    if (!(await box.isChecked())) await box.check();
    await page.getByLabel(`Mass of ${code} optional`, { exact: true }).fill(mass);
  }
  await fill(v, 'Room optional', '70 F');
  await press(v, `Light ${Object.keys(masses).length} candle`);
  await page.waitForURL(/\/sessions\/[0-9a-f-]{36}$/);
  await page.locator('.bench-number').waitFor();
  return new URL(page.url()).pathname.split('/').pop();
}

/** One round on the keypad. `value(code, label)` gives the text to type, or null to skip. */
export async function round(v, value, { touch = true, until = () => false } = {}) {
  const { page } = v;
  await page.locator('.bench-main .main').click();
  await page.locator('.pad').waitFor();
  let taken = 0;
  for (let guard = 0; guard < 60; guard++) {
    if (!(await page.locator('.pad').isVisible())) break;
    const code = (await page.locator('.pad-candle strong').innerText()).trim();
    const label = (await page.locator('#pad-title').innerText()).trim();
    const text = value(code, label);
    if (until(code, label)) break;
    if (text === null) await page.locator('.pad-foot').getByRole('button', { name: 'Skip' }).click();
    else {
      await enter(v, text, touch);
      taken++;
    }
    await page.waitForFunction(([c, l]) => {
      const pad = document.querySelector('.pad');
      return !pad || pad.querySelector('.pad-candle strong').textContent !== c || pad.querySelector('#pad-title').textContent !== l ||
        pad.querySelector('.pad-problem');
    }, [code, label]);
  }
  return taken;
}

/** Type one value as a thumb or a keyboard would, and save it. */
export async function enter(v, text, touch = true) {
  const { page } = v;
  const choices = page.locator('.pad-choice');
  if (await choices.count()) {
    const wanted = choices.filter({ hasText: new RegExp(`^${text}`, 'i') }).first();
    if (touch) await wanted.click();
    else {
      await page.locator('.pad-choice:enabled').first().waitFor(); // a moment after the question appeared
      await wanted.focus();
      await page.keyboard.press('Enter');
    }
    return;
  }
  if (touch) {
    const shown = page.locator('.pad-show input');
    while ((await shown.inputValue()).length) await page.getByLabel('Delete last digit').click();
    for (const digit of text) await page.locator(`.pad-key:text-is("${digit}")`).click();
    await page.locator('.pad-save').click();
  } else {
    const shown = page.locator('.pad-show input');
    await shown.fill(text);
    await shown.press('Enter'); // the pad gives its title the focus a moment after it opened
  }
}

export async function putOut(v, masses) {
  const { page } = v;
  await press(v, 'Put out…');
  for (const [code, mass] of Object.entries(masses)) await page.getByLabel(`Mass of ${code} optional`, { exact: true }).fill(mass);
  await press(v, 'They are out');
  await page.getByText('Let them rest until').waitFor();
}
