// One whole test programme by command, in an empty folder, over six pretended weeks: describe, foresee,
// plan, pour, burn, read, judge, decide. What a page can do, a script can do. EVENPOOL names the
// program. Ends with "N passed, N failed". All names and figures are invented for this test.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
const program = process.env.EVENPOOL ?? join(here, '../../build/src/cli/evenpool');
const folder = mkdtempSync(join(tmpdir(), 'ep-programme-'));
let clock = '2026-01-05T08:00:00Z';
let passed = 0;
let failed = 0;

const is = (what, ok, more = '') => {
  if (ok) passed++;
  else {
    failed++;
    console.log(`not so: ${what} ${more}`);
  }
};
const at = (day, time) => {
  const date = new Date(Date.UTC(2026, 0, 4 + day)).toISOString().slice(0, 10);
  clock = `${date}T${time}:00Z`;
};

/** Runs a command with --json; gives {status, answer, error}. */
function run(...words) {
  const env = { PATH: process.env.PATH, EVENPOOL_CLOCK: clock, TZ: 'UTC' };
  const r = spawnSync(program, [...words, '--json'], { cwd: folder, env, encoding: 'utf8', maxBuffer: 1 << 28 });
  const parse = (text) => {
    try {
      return JSON.parse(text);
    } catch {
      return null;
    }
  };
  const error = parse((r.stderr ?? '').split('\n').find((l) => l.startsWith('{')) ?? '')?.error;
  return { status: r.status, answer: parse(r.stdout), error, stderr: r.stderr };
}

/** Runs a command that must end with `status` (0 when not given); gives the answer. */
function go(status, ...words) {
  const r = run(...words);
  is(`'${words.join(' ')}' ends with ${status}`, r.status === status, `but with ${r.status}: ${r.stderr}`);
  return r.answer ?? r.error ?? {};
}

try {
  // --- describe ---
  const glass = go(0, 'shelf', 'materials', '--kind', 'container').materials.find((m) => m.id.includes('soda') || /lass/.test(m.name));
  const braid = go(0, 'shelf', 'materials', '--kind', 'wick').materials.find((m) => /^flat/i.test(m.name));
  const oil = go(0, 'shelf', 'materials', '--kind', 'fragrance').materials[0];
  const wax = go(0, 'shelf', 'add-material', '--kind', 'wax', '--name', 'Our soy', '--based-on', 'std-wax-soy', '--props', 'liquidus: 126 F');
  is('126 F is 52.2 C', Math.abs(wax.props.liquidus.value - 52.22) < 0.01, JSON.stringify(wax.props?.liquidus));
  is('and is the maker’s own figure', wax.props.liquidus.how === 'sheet' || wax.props.liquidus.how === 'measured');
  const series = go(0, 'shelf', 'add-series', '--name', 'Bench braid', '--construction', braid.id, '--sizes', '1=0.9 g/m; 2=450 yd/lb; 3=1.3 g/m; 4=1.6 g/m');
  is('450 yd/lb is 1.102 g/m (ASTM D2260: 496.05 / x)', Math.abs(series.sizes[1].linear_density_g_m - 496.054648 / 450) < 1e-6);
  const jar = go(0, 'shelf', 'add-container', '--name', 'Bench jar', '--material', glass.id, '--inner-diameter', '3 in', '--height', '3.5 in', '--wall', '3 mm');
  is('the jar is as wide as typed', Math.abs(jar.profile[0].inner_diameter_mm - 76.2) < 1e-6);
  go(0, 'shelf', 'add-lot', '--material', 'Our soy', '--code', 'W-01', '--quantity', '10 kg');

  const refused = go(2, 'recipe', 'add', '--name', 'Too much', '--container', 'Bench jar', '--waxes', 'Our soy: 100 %', '--series', 'Bench braid', '--load', '45 %');
  is('a load of 45 % is refused with its range', refused.field === 'load' && /0 %? ?to 30/.test(refused.text), refused.text);
  const recipe = go(0, 'recipe', 'add', '--name', 'Bench candle', '--container', 'Bench jar', '--waxes', 'Our soy: 100 %', '--series', 'Bench braid',
    '--fragrance', oil.id, '--load', '6 %', '--load-basis', 'of_wax', '--headspace', '15 mm', '--session', '4 h');
  is('the recipe is described', recipe.state === 'described', recipe.state);
  // 6 % of the wax is 6/106 of the total
  is('the load on its other basis', Math.abs(recipe.revision.load_of_total_pct - (100 * 6) / 106) < 1e-6);
  const revised = go(0, 'recipe', 'revise', 'Bench candle', '--load', '8 %');
  is('a change makes revision 2', revised.revision.number === 2 && revised.revisions.length === 2);
  const diff = go(0, 'recipe', 'diff', 'Bench candle');
  is('and the diff says what changed', diff.factors.length === 1 && diff.factors[0].key === 'load' && diff.factors[0].retest === true);
  const sheet = go(0, 'recipe', 'weigh', 'Bench candle', '--candles', '6', '--loss', '3 %', '--resolution', '0.5 g');
  is('the weigh-out is whole steps of the scale', sheet.lines.every((l) => Math.abs(l.mass_g * 2 - Math.round(l.mass_g * 2)) < 1e-9));
  is('and adds up', Math.abs(sheet.lines.reduce((n, l) => n + l.mass_g, 0) - sheet.total_g) < 1e-6);
  is('cautions stand on it', sheet.cautions.length > 0);

  // --- foresee and plan ---
  const forecast = go(0, 'predict', 'Bench candle', '--wick', '2', '--grid', '3 mm');
  is('a forecast runs to the end of the jar', forecast.sessions.length > 3 && forecast.summary.burn_h_total > 8);
  is('its energy ledger closes', Math.abs(forecast.ledger.energy_rel) < 1e-6, forecast.ledger?.energy_rel);
  is('its mass ledger closes', Math.abs(forecast.ledger.mass_rel) < 1e-6, forecast.ledger?.mass_rel);
  is('it names engine, tables and seed', forecast.engine && forecast.tables && Number.isInteger(forecast.seed));
  is('and is judged as simulated', forecast.verdict.simulated === true);
  const again = go(0, 'predict', 'Bench candle', '--wick', '2', '--grid', '3 mm');
  is('the same case gives the same trace', JSON.stringify(again.trace) === JSON.stringify(forecast.trace));
  const unknown = go(2, 'predict', 'Bench candle', '--wick', '9');
  is('an unknown size is named with the known ones', /1, 2, 3, 4/.test(unknown.text), unknown.text);
  const odds = go(0, 'odds', 'Bench candle', '--members', '8');
  is('odds for every size', odds.sizes.length === 4);
  is('and they are chances', odds.sizes.every((s) => {
    const sum = s.right_pct + s.too_small_pct + s.too_big_pct + s.wrong_kind_pct + s.unknown_pct;
    return Math.abs(sum - 100) < 0.26; // five shares, each rounded to a tenth
  }), JSON.stringify(odds.sizes.map((s) => [s.right_pct, s.too_small_pct, s.too_big_pct, s.wrong_kind_pct, s.unknown_pct])));
  const plan = go(0, 'plan', 'Bench candle', '--members', '8');
  is('a plan of one to three sizes', plan.set.length >= 1 && plan.set.length <= 3);
  is('with its cost', plan.candles > 0 && plan.days > 0 && plan.sentence.length > 20);

  // --- pour ---
  at(1, '10:00');
  const pour = go(0, 'pour', 'add', '--recipe', 'Bench candle', '--set', '2: 3, 4: 1', '--wax-mass', '1200 g', '--fragrance-mass', '96 g',
    '--wax-peak', '185 F', '--pour-temp', '60 C', '--lots', 'W-01');
  const codes = pour.candles?.map((c) => c.code) ?? [];
  is('four candles with codes of their own', new Set(codes).size === 4);
  is('all curing', pour.candles.every((c) => c.state === 'curing' && c.cured === false));
  is('the actual load is what was weighed', Math.abs(pour.load_of_wax_pct - 8) < 1e-6, pour.load_of_wax_pct);
  const mine = pour.candles.filter((c) => c.size_name === '2').map((c) => c.code);
  const hot = pour.candles.find((c) => c.size_name === '4')?.code;
  const fill = pour.candles[0].wax_mass_g;

  const kept = go(0, 'recipe', 'revise', 'Bench candle', '--trim', '7 mm');
  is('a poured revision stays as it is', kept.revision.number === 3 && kept.revisions.find((r) => r.number === 2).trim_mm === recipe.revision.trim_mm);

  // --- burn too early: allowed, marked ---
  at(2, '09:00');
  const early = go(0, 'burn', 'light', '--candles', hot, '--planned', '1 h');
  is('lighting before the cure is out is marked', early.candles[0].before_cure === true && early.warnings.length > 0);
  const due = go(0, 'today');
  is('today names the lit session', due.lit.length === 1 && due.lit[0].id === early.id);

  // --- a hazard: status 1, stop now ---
  at(2, '09:30');
  const hazard = go(1, 'burn', 'read', '--candle', hot, '--kind', 'wall_temp', '--value', '212 F');
  is('212 F on the wall stops it', hazard.stop?.length > 0 && hazard.stop[0].weight === 'stop', JSON.stringify(hazard.stop));
  is('the reading is kept in C', Math.abs(hazard.value - 100) < 1e-6);
  const wrong = go(2, 'burn', 'read', '--candle', hot, '--kind', 'wall_temp', '--value', '900 C');
  is('a wall of 900 C is refused with its range', /300/.test(wrong.text), wrong.text);
  go(2, 'burn', 'read', '--candle', hot, '--kind', 'wall_temprature', '--value', '60 C');
  go(0, 'burn', 'out', early.id, '--reason', 'stopped');
  const verdict = go(1, 'judge', 'Bench candle', '--size', '4');
  is('the verdict says stop now', verdict.wicks[0].verdict.stop_now === true);

  // --- not yet known, and not to be approved ---
  const none = go(0, 'judge', 'Bench candle', '--size', '2');
  is('nothing is known before a burn', none.wicks[0].verdict.kind === 'not_yet_known' && none.wicks[0].verdict.missing.length > 0);
  const tooSoon = go(2, 'decide', 'Bench candle', '--size', '2', '--decision', 'proven');
  is('and proven is refused', /verdict|right|known/.test(tooSoon.text ?? ''), tooSoon.text);

  // --- burn three candles to the end, once a day ---
  const empty = 300;
  const perBurn = fill / 9;
  let lastSession = null;
  for (let n = 0; n < 9; n++) {
    at(20 + n, '09:00');
    const before = (empty + fill - n * perBurn).toFixed(1);
    const after = (empty + fill - (n + 1) * perBurn + 1).toFixed(1);
    lastSession = go(0, 'burn', 'light', '--candles', mine.join(', '), '--planned', '4 h', '--room-temp', '70 F', '--draught', '0', '--trim', '1/4 in',
      '--masses', mine.map((c) => `${c}: ${before} g`).join(', '));
    at(20 + n, '12:55');
    const readings = mine.flatMap((candle) => [
      { candle, kind: 'pool_at_wall', value: n >= 2, minute: 230 },
      { candle, kind: 'pool_wide', value: n >= 2 ? '76 mm' : '65 mm', minute: 230 },
      { candle, kind: 'pool_narrow', value: n >= 2 ? '75 mm' : '64 mm', minute: 230 },
      { candle, kind: 'pool_depth', value: '9 mm', minute: 230 },
      { candle, kind: 'flame', value: '1 in', minute: 230 },
      { candle, kind: 'wall_temp', value: `${48 + n} C`, minute: 230 },
      { candle, kind: 'hangup', value: '0 mm', minute: 230 },
      { candle, kind: 'soot', value: 0, minute: 230 },
      { candle, kind: 'mushroom', value: 1, minute: 230 },
    ]);
    const batch = go(0, 'burn', 'read-many', '--readings', JSON.stringify(readings));
    is(`burn ${n + 1}: every reading was taken`, batch.readings?.length === readings.length && batch.readings.every((r) => !r.error),
      JSON.stringify(batch.readings?.find((r) => r.error)));
    at(20 + n, '13:00');
    const out = go(0, 'burn', 'out', lastSession.id, '--masses', mine.map((c) => `${c}: ${after} g`).join(', '));
    is(`burn ${n + 1}: grams per hour from the scale`, Math.abs(out.candles[0].rate_g_h - (before - after) / 4) < 0.01, out.candles?.[0]?.rate_g_h);
    if (n === 2) {
      const mid = go(0, 'judge', 'Bench candle', '--size', '2');
      is('right is never said at a third of the jar', mid.wicks[0].verdict.kind !== 'right', mid.wicks[0].verdict.kind);
    }
  }

  // --- a correction is a new row; the old one stays and says what replaced it ---
  const all = go(0, 'burn', 'readings', '--candle', mine[0]).readings;
  const flame = all.find((r) => r.kind === 'flame');
  const corrected = go(0, 'burn', 'read', '--candle', mine[0], '--session', flame.session_id, '--kind', 'flame', '--value', '27 mm', '--minute', '230', '--corrects', flame.id);
  const after = go(0, 'burn', 'readings', '--candle', mine[0]).readings;
  is('nothing was taken away', after.length === all.length + 1);
  is('the old reading names its successor', after.find((r) => r.id === flame.id).corrected_by === corrected.id);

  for (const code of mine) {
    const done = go(0, 'pour', 'finish', code);
    is(`${code} is finished`, done.state === 'finished');
  }

  // --- judge and decide ---
  const end = go(0, 'judge', 'Bench candle', '--size', '2').wicks[0].verdict;
  is('three candles burned to the end, all in order: right', end.kind === 'right' && end.candles_right === 3, JSON.stringify([end.kind, end.missing, end.findings?.filter((f) => f.weight !== 'note')]));
  is('with the readings behind it', end.findings.some((f) => f.readings.length > 0 && /^J\d+$/.test(f.requirement)));
  // zero failures in three: 1 - 0.05^(1/3) = 63 % at 95 % confidence
  is('and with what three candles prove', Math.abs(end.failure_bound_pct - 100 * (1 - Math.cbrt(0.05))) < 0.01, end.failure_bound_pct);
  const proven = go(0, 'decide', 'Bench candle', '--size', '2', '--decision', 'proven', '--note', 'three to the end');
  is('the recipe is proven', proven.state === 'proven', proven.state);
  is('and the newest revision names the wick', proven.revision.size?.name === '2');
  go(2, 'decide', 'Bench candle', '--size', '4', '--decision', 'proven');
} catch (error) {
  is('the programme runs to its end', false, error.stack);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
