// The steps of a maker through a whole test programme, as functions of a visit. What is pressed, typed and
// chosen goes through the visit's hand: mouse, finger or keyboard.
import { check } from './browser.mjs';

/** By its label, as a person finds it. */
export const fill = (v, label, text) => v.hand.fill(v.page.getByLabel(label, { exact: true }), text);

export const press = (v, name) => v.hand.press(v.page.getByRole('button', { name, exact: false }).first());

export const follow = (v, name) => v.hand.press(v.page.locator('main').getByRole('link', { name, exact: false }).first());

/** The keypad, while it is open. */
export const pad = (v) => v.page.getByRole('dialog');

/** What the pad asks for just now. */
export const asked = async (v) => (await pad(v).getByRole('heading').innerText()).trim();

/** Asks for what is due at this minute. */
export const takeRound = async (v) => {
  await press(v, /^Take .*readings$/);
  await pad(v).waitFor();
};

/** On a page just come to, the title has the focus: the next tab goes on from there, and the title is read out. */
export async function arrived(v, title) {
  await v.page.getByRole('heading', { level: 1, name: title, exact: true }).waitFor();
  await v.page.waitForFunction((t) => document.activeElement?.tagName === 'H1' && document.activeElement.textContent === t, title, { timeout: 5000 }).catch(() => undefined);
  const at = await v.page.evaluate(() => `${document.activeElement?.tagName} ${document.activeElement?.textContent?.slice(0, 40)}`);
  check(`${v.name}: the title of "${title}" has the focus`, at === `H1 ${title}`, at);
}

export async function measureJar(v) {
  const { page } = v;
  await follow(v, 'Measure a jar');
  await arrived(v, 'Measure a container');
  await fill(v, 'A, inner diameter', 'about three');
  await fill(v, 'B, inner height', '3 1/2 in');
  await fill(v, 'C, wall thickness', '30 in');
  await press(v, 'Keep this container');
  await refusedAt(v, 'Made of', 'a forgotten material');
  await refusedAt(v, 'A, inner diameter', 'nonsense for a diameter');
  await refusedAt(v, 'C, wall thickness', 'a wall out of range', /762\smm.*0\.1\smm.*30\smm/);
  check(`${v.name}: three mistakes are told at once, no other field is accused`, (await page.locator('[aria-invalid="true"]').count()) === 3 &&
    /3 things to put right/.test(await page.locator('.form-problem').innerText()));
  check(`${v.name}: the first of them takes the focus`, (await page.evaluate(() => document.activeElement?.getAttribute('name'))) === 'material');
  await v.shot('02-refused');
  await v.inspectBoth('refused container');
  await fill(v, 'Name optional', 'Tumbler by tape');
  const made = page.getByLabel('Made of', { exact: true });
  await v.hand.choose(made, (await made.locator('option').allInnerTexts())[1]);
  check(`${v.name}: what was put right is no longer accused`, (await page.locator('[aria-invalid="true"]').count()) === 2);
  await fill(v, 'C, wall thickness', '3 mm');
  await fill(v, 'A, inner diameter', '7 mm');
  await press(v, 'Keep this container');
  await refusedAt(v, 'A, inner diameter', 'a diameter out of range', /7\smm.*15\smm.*400\smm/);
  check(`${v.name}: nothing typed is lost over refusals`, (await page.getByLabel('B, inner height', { exact: true }).inputValue()) === '3 1/2 in' &&
    (await page.getByLabel('Name optional', { exact: true }).inputValue()) === 'Tumbler by tape');
  await page.reload();
  await page.getByLabel('Name optional', { exact: true }).waitFor();
  check(`${v.name}: what was typed outlives a reload`, (await page.getByLabel('Name optional', { exact: true }).inputValue()) === 'Tumbler by tape');
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

export async function describeSeries(v) {
  const { page } = v;
  await follow(v, 'Describe a new series');
  await arrived(v, 'A wick series');
  await fill(v, 'Name optional', 'Flat cotton, weighed here');
  const made = page.getByLabel('How it is made');
  await v.hand.choose(made, await option(made, /flat/i));
  await press(v, 'Add a size');
  const yields = ['0.8 g/m', '1.1 g/m', '355 yd/lb', '1.8 g/m'];
  for (let i = 0; i < yields.length; i++) {
    const row = page.getByRole('group', { name: `Size ${i + 1}`, exact: true });
    await v.hand.fill(row.getByLabel(`Size ${i + 1}`, { exact: true }), String(i + 1));
    await v.hand.fill(row.getByLabel('Mass per length'), yields[i]);
  }
  await v.shot('04-series');
  await v.inspectBoth('series form');
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
  await fill(v, 'Name of the recipe optional', 'First try, fig');
  for (const [label, pattern] of [['Container', /Tumbler/], ['Wax', /soy/i], ['Fragrance optional', /(?!Unscented)/], ['Series', /weighed here/]]) {
    const box = page.getByRole('combobox', { name: label, exact: true });
    if (!(await box.inputValue())) await v.hand.choose(box, await option(box, pattern));
  }
  await fill(v, 'Load', '80 %');
  await press(v, 'Keep and forecast');
  await refusedAt(v, 'Load', 'a load of 80 per cent', /80\s%.*30\s%/);
  await fill(v, 'Load', '8');
  check(`${v.name}: both bases of the load are shown`, /8\.00\s%[\s\S]*7\.41\s%/.test(await page.locator('.both-bases').innerText()));
  await v.shot('05-recipe-form');
  await v.inspectBoth('recipe form');
  await press(v, 'Keep and forecast');
  await page.waitForURL(/\/recipes\/[0-9a-f-]{36}$/);
  return new URL(page.url()).pathname.split('/').pop();
}

export async function foresee(v) {
  const { page } = v;
  await page.locator('.jar').first().waitFor();
  const moment = page.getByLabel('Time in the life of the candle');
  const before = await page.locator('.player .figures').innerText();
  await v.hand.slide(moment, 6);
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
  if (v.hand.kind === 'mouse') await page.locator('.chart-band').first().waitFor({ timeout: 240000 });
  await v.hand.press(page.getByText('Numbers of Burn rate')); // a summary has no role of its own
  check(`${v.name}: a table stands under the chart`, await page.locator('.chart-table table').first().isVisible());
  await v.shot('06-recipe');
  await v.inspectBoth('recipe');
}

export async function pourSet(v) {
  const { page } = v;
  await follow(v, 'Pour this set');
  await arrived(v, 'Pour');
  const counts = page.locator('.counts input');
  const n = await counts.count();
  for (let i = 0; i < n; i++) await v.hand.fill(counts.nth(i), i === 0 || i === 2 ? '1' : '');
  await page.locator('.weigh .total').waitFor();
  await fill(v, 'Wax', '12 oz');
  await fill(v, 'Poured at', '140 F');
  await fill(v, 'Room', '21');
  await v.shot('07-pour');
  await v.inspectBoth('pour');
  await press(v, '2 candles poured');
  await page.waitForURL(/\/pours\/[0-9a-f-]{36}$/);
  await page.locator('.code.huge').first().waitFor();
  const codes = await page.locator('.code.huge').allInnerTexts();
  check(`${v.name}: two candles have codes`, codes.length === 2 && codes.every((c) => /^[A-Z0-9]{3,}$/.test(c)), codes.join());
  await v.shot('08-codes');
  await v.inspectBoth('poured');
  return codes;
}

/** From Today, as on any morning. */
export async function lightAll(v, masses) {
  const { page } = v;
  await follow(v, 'Light candles');
  await arrived(v, 'Light candles');
  for (const [code, mass] of Object.entries(masses)) {
    await v.hand.tick(page.getByRole('checkbox', { name: new RegExp(`^${code},`) }));
    await fill(v, `Mass of ${code} optional`, mass);
  }
  await fill(v, 'Room optional', '70 F');
  await press(v, `Light ${Object.keys(masses).length} candle`);
  await page.waitForURL(/\/sessions\/[0-9a-f-]{36}$/);
  await arrived(v, 'Burning');
  return new URL(page.url()).pathname.split('/').pop();
}

/** One round on the keypad. `value(code, label)` gives the text to type, or null to skip. */
export async function round(v, value) {
  const { page } = v;
  await takeRound(v);
  let taken = 0;
  for (let guard = 0; guard < 60; guard++) {
    if (!(await pad(v).isVisible())) break;
    const code = (await page.locator('.pad-candle strong').innerText()).trim();
    const label = await asked(v);
    const text = value(code, label);
    if (text === null) await skip(v);
    else {
      await enter(v, text);
      taken++;
    }
    await page.waitForFunction(([c, l]) => {
      const now = document.querySelector('.pad');
      return !now || now.querySelector('.pad-candle strong').textContent !== c || now.querySelector('#pad-title').textContent !== l || now.querySelector('.pad-problem');
    }, [code, label]);
  }
  return taken;
}

export const skip = (v) => v.hand.press(pad(v).getByRole('button', { name: 'Skip' }));

/** One value as a thumb or a keyboard would give it, and saved. */
export async function enter(v, text) {
  const { page } = v;
  const choices = pad(v).getByRole('group').getByRole('button');
  if (await choices.count()) {
    await pad(v).getByRole('group').getByRole('button', { disabled: false }).first().waitFor(); // a moment after the question appeared
    return v.hand.press(choices.filter({ hasText: new RegExp(`^${text}`, 'i') }).first());
  }
  const shown = pad(v).getByRole('textbox').first();
  if (v.hand.kind === 'keys') {
    await v.hand.fill(shown, text);
    return page.keyboard.press('Enter');
  }
  while ((await shown.inputValue()).length) await v.hand.press(pad(v).getByRole('button', { name: 'Delete last digit' }));
  for (const digit of text) await v.hand.press(pad(v).getByRole('button', { name: digit === '.' ? 'Point' : digit, exact: true }));
  await v.hand.press(pad(v).getByRole('button', { name: /^Save/ }));
}

export async function putOut(v, masses) {
  await press(v, 'Put out…');
  await v.page.getByRole('heading', { name: 'Put out' }).waitFor();
  await v.focusIs('the form that opens has the focus', (e) => e.tagName === 'H2' && e.textContent === 'Put out');
  for (const [code, mass] of Object.entries(masses)) await fill(v, `Mass of ${code} optional`, mass);
  await press(v, 'They are out');
  await v.page.getByText('Let them rest until').waitFor();
  await v.heard('that they are out', /out\.$/);
}

/** One flame height of a candle, on its session's page. */
export async function takeFlame(v, code, text) {
  const card = v.page.getByRole('region', { name: `Candle ${code}` });
  await card.getByRole('button', { name: /due: choose one|Other readings/ }).click();
  await card.getByRole('button', { name: /^flame height/ }).first().click();
  await enter(v, text);
  await pad(v).waitFor({ state: 'detached' });
}
