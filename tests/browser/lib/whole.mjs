// The whole job through the pages, from an empty workshop to a verdict, by whatever hand the visit has.
// The clock is moved by restarting the server, as night and weekend do. What is typed here is invented.
import { check, visit } from './browser.mjs';
import * as steps from './programme.mjs';
import { Workshop } from './workshop.mjs';

const DAY = 864e5;
const HOUR = 36e5;
const SESSIONS = 4; // by the fourth a wick can be called too small
const START = Date.parse('2026-03-02T08:00:00Z');
const iso = (ms) => new Date(ms).toISOString().replace(/\.\d+Z$/, 'Z');

export async function programme(browser, size, hand) {
  const workshop = new Workshop();
  await workshop.start(iso(START));
  const v = await visit(browser, size, {}, hand);
  try {
    await run(v, workshop);
    v.quiet('programme');
    check(`${v.name}: nothing hard to hit, nothing focused out of sight`, v.hand.faults.size === 0, [...v.hand.faults].join('; '));
    if (v.hand.tabs) console.log(`${v.name}: ${v.hand.tabs} tabs from the empty workshop to the verdict`);
  } catch (e) {
    await v.view('99-where-it-stopped');
    if (v.hand.faults.size) console.log(`${v.name}: ${[...v.hand.faults].join('; ')}`);
    throw e;
  } finally {
    await v.page.context().close();
    await workshop.close();
  }
}

async function run(v, workshop) {
  const { page } = v;
  await page.goto(workshop.url);
  await page.getByText('The workshop is empty').waitFor();
  await v.shot('01-empty');
  await v.inspectBoth('empty workshop');
  await steps.measureJar(v);
  await steps.describeSeries(v);
  const recipe = await steps.writeRecipe(v);
  await steps.foresee(v);
  const codes = await steps.pourSet(v);
  await burnToVerdict(v, workshop, recipe, codes);
}

/** Four sessions: one wick whose pool stays short of the wall, one whose wall gets too hot. */
async function burnToVerdict(v, workshop, recipe, [small, big]) {
  const { page } = v;
  let expected = 0;
  for (let n = 1; n <= SESSIONS; n++) {
    const lit = START + (15 + n) * DAY + n * HOUR; // rested through
    await workshop.restart(iso(lit));
    await page.goto(workshop.url); // a new day
    const session = await steps.lightAll(v, { [small]: String(600 - 15 * n), [big]: String(600 - 22 * n) });
    await workshop.restart(iso(lit + 180 * 6e4));
    await page.getByText('Take the 3 h readings').waitFor({ timeout: 30000 });
    if (n === 1) await lateOrNot(v, [small, big], true);
    if (n === 1) expected += await refusedReading(v);
    expected += await steps.round(v, (code, label) => reading(code === small, label, n));
    if (n === 1) await lateOrNot(v, [small, big], false);
    if (n === 1) {
      await v.shot('10-bench');
      await v.inspectBoth('bench');
      expected += await correction(v, small);
    }
    await workshop.restart(iso(lit + 240 * 6e4));
    await page.getByText('are over: time to put out').waitFor({ timeout: 30000 });
    if (n === SESSIONS) expected += await hazard(v, big);
    await steps.putOut(v, n === SESSIONS ? { [small]: String(600 - 15 * n - 14) } : { [small]: String(600 - 15 * n - 14), [big]: String(600 - 22 * n - 20) });
    if (n === 1) await v.shot('12-out');
    if (n === SESSIONS) expected += await weighedLater(v, workshop, session, big, String(600 - 22 * n - 20));
    const kept = await workshop.get(`/api/sessions/${session}`);
    check(`${v.name}: session ${n} is over and weighed`, kept.open === false && kept.candles.find((c) => c.code === small).burned_g === 14, JSON.stringify(kept.candles.map((c) => c.burned_g)));
  }
  const all = await workshop.get(`/api/readings?recipe=${recipe}`);
  check(`${v.name}: every reading arrived once`, all.readings.length === expected && new Set(all.readings.map((r) => r.id)).size === expected, `${all.readings.length} of ${expected}`);
  await verdict(v, workshop, recipe);
}

/** What is due is said at the head with its minute, and by nothing any more once the whole round was read. */
async function lateOrNot(v, codes, due) {
  const { page } = v;
  const head = page.locator('.bench-next.now');
  await head.waitFor({ state: due ? 'visible' : 'detached' });
  if (due) {
    const text = await head.innerText();
    check(`${v.name}: the head says whose readings are due, and since when`, codes.every((c) => text.includes(c)) && /Asked for at 3\sh, \d\d:\d\d/.test(text), text);
    return;
  }
  const left = await page.getByRole('button', { name: /(reading|readings|more) due|, due again/ }).allInnerTexts();
  check(`${v.name}: after the whole round no card says that a reading is due`, left.length === 0, left.join('; '));
  check(`${v.name}: nor does the main button`, (await page.getByRole('button', { name: /^Take the/ }).count()) === 0);
}

/** Values of an under-wicked and an over-wicked candle; grades and flags as their buttons begin. */
function reading(small, label, n) {
  const table = {
    'flame height': small ? '17' : '46', 'melt pool, widest': small ? '44' : '71', 'melt pool, narrowest': small ? '43' : '71',
    'pool touches the wall all round': small ? 'No' : 'Yes', 'melt pool depth': small ? '4' : '13', 'hottest outside wall': small ? '41' : String(58 + 4 * n),
    'soot on rim or wall': small ? '0' : '1', 'carbon head on the wick': small ? '0' : '2', flicker: '0', 'smoke while burning': '0',
    'wax left on the wall, thickness': small ? '12' : '0',
  };
  return table[label] ?? null;
}

/** A pool wider than the jar is refused; the digits stay, the reason stands above them. */
async function refusedReading(v) {
  const { page } = v;
  await steps.takeRound(v);
  await v.focusIs('the pad has the focus', (e) => Boolean(e.closest('[role="dialog"]')));
  while ((await steps.asked(v)) !== 'melt pool, widest') await steps.skip(v);
  const code = (await page.locator('.pad-candle strong').innerText()).trim();
  check(`${v.name}: the first reading of a kind says what is allowed`, /\d to \d+\smm$/.test(await page.locator('.pad-last').innerText()), await page.locator('.pad-last').innerText());
  await steps.enter(v, '440');
  await page.locator('.pad-problem').waitFor();
  check(`${v.name}: a pool wider than the jar is refused, and stays typed`, (await steps.pad(v).getByRole('textbox').first().inputValue()) === '440' && /440/.test(await page.locator('.pad-problem').innerText()), await page.locator('.pad-problem').innerText());
  await v.view('09-refused-reading');
  await v.inspectBoth('refused reading');
  await steps.enter(v, '44');
  await page.locator('.pad-problem').waitFor({ state: 'detached' });
  check(`${v.name}: put right, it is no longer waiting`, (await page.locator('.waiting-button').count()) === 0);
  await v.heard('the reading kept', /melt pool, widest 44 mm saved/);
  await steps.press(v, 'Close');
  await v.focusIs('once the pad is closed, what opened it has the focus again', (e) => /^Take .*readings$/.test(e.textContent));
  check(`${v.name}: the reading put right is of ${code}`, (await page.locator('.readings tbody tr').first().innerText()).includes(code));
  return 1;
}

async function correction(v, code) {
  const { page } = v;
  // only the latest rows stand open, and which candle's they are depends on its code
  await v.hand.press(page.getByRole('button', { name: /^All \d+ readings$/ }));
  await v.hand.press(page.getByRole('button', { name: new RegExp(`^correct flame height of ${code}`) }).first());
  await steps.pad(v).waitFor();
  await steps.enter(v, '18');
  await page.locator('.readings .corrected').waitFor();
  check(`${v.name}: a correction leaves the old value in sight`, /^17\smm$/.test(await page.locator('.readings .corrected s').innerText()));
  await v.shot('11-corrected');
  return 1;
}

/** A flame far above its limit: the page says so at once, big, and what to do. */
async function hazard(v, code) {
  const { page } = v;
  const card = page.getByRole('region', { name: `Candle ${code}` });
  await v.hand.press(card.getByRole('button', { name: /flame height/ }).first());
  await steps.pad(v).waitFor();
  await steps.enter(v, '95');
  await page.locator('.stop').waitFor();
  check(`${v.name}: a hazard is shown at once`, /Put it out now/.test(await page.locator('.stop').innerText()));
  await v.focusIs('what to do about it is the next stop of the keyboard', (e) => e.textContent === 'Put it out now');
  await v.view('13-stop');
  await v.inspectBoth('stop now');
  await steps.press(v, `${code} is out`);
  await card.getByText('out: stopped').waitFor();
  await v.heard('that it is out', new RegExp(`${code} out`));
  await v.focusIs('the focus is on the page, not at the top of the document', (e) => e !== document.body);
  check(`${v.name}: once out, the alarm is over`, (await page.locator('.stop').count()) === 0);
  return 1;
}

/** Put out in a hurry, weighed when the wax has set. */
async function weighedLater(v, workshop, session, code, mass) {
  const { page } = v;
  await page.getByRole('heading', { name: 'Weigh it' }).waitFor();
  await steps.fill(v, `Mass of ${code} optional`, mass);
  check(`${v.name}: what was burned stands beside the mass being typed`, /20\sg burned, 5\.0\sg\/h/.test(await page.locator('.end-form').innerText()), await page.locator('.end-form').innerText());
  await v.inspectBoth('to be weighed');
  await steps.press(v, 'Keep the mass');
  await page.getByRole('heading', { name: 'Weigh it' }).waitFor({ state: 'detached' });
  await v.heard('the mass kept', new RegExp(`Mass of ${code} kept`));
  await v.focusIs('the focus is on the page still', (e) => e !== document.body);
  const kept = await workshop.get(`/api/sessions/${session}`);
  check(`${v.name}: a mass may follow when the wax has set`, kept.candles.find((c) => c.code === code).burned_g === 20, JSON.stringify(kept.candles));
  return 1; // it stands in the book as a reading
}

async function verdict(v, workshop, recipe) {
  const { page } = v;
  await v.hand.press(page.getByRole('navigation', { name: 'Pages' }).getByRole('link', { name: 'Recipes' }));
  await steps.follow(v, 'First try, fig');
  await steps.follow(v, 'Reasons and readings');
  await page.locator('.verdict-word').waitFor();
  const told = await workshop.get(`/api/recipes/${recipe}/verdict`);
  check(`${v.name}: the pages say what the judge says`, told.wicks.some((w) => w.verdict.kind_text === null) === false &&
    told.wicks.map((w) => w.verdict.kind_text).includes(await page.locator('.verdict-word').innerText()));
  check(`${v.name}: both wicks are judged`, told.wicks.every((w) => w.verdict.kind !== 'not_yet_known'), told.wicks.map((w) => w.verdict.kind).join());
  await steps.press(v, /rule.*behind/);
  check(`${v.name}: the rule and its readings unfold`, await page.locator('.finding-behind').first().isVisible());
  await page.locator('.chart-point').first().waitFor({ timeout: 60000 });
  await v.shot('14-verdict');
  if (process.env.SHOW) console.log(JSON.stringify(told, null, 1));
  await v.inspectBoth('verdict');
  await steps.follow(v, 'First try, fig');
  await page.locator('.proof-list li').first().waitFor();
  check(`${v.name}: the recipe shows its proof`, (await page.locator('.proof-list li').count()) === 2);
}
