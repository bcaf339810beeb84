// Candles nobody thought of, by command: every valid one is described, then `evenpool predict --json`
// must give numbers where numbers belong, closed books and nothing that cannot be; every one spoiled in
// one place must be refused by field, value and range and leave nothing behind. All data are invented.
//   EP_CANDLES, EP_SPOILED  how many (24 and 150)
//   EP_FIRST                number of the first (1), to look at one again
//   EP_COST                 passes over candles that cost more seconds than this (0.4; Infinity = none)
// EVENPOOL names the program. Ends with "N passed, N failed".
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { impossible } from './lib/bounds.mjs';
import { cost, invent } from './lib/invent.mjs';
import { spoil } from './lib/spoil.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const program = process.env.EVENPOOL ?? join(here, '../../build/src/cli/evenpool');
const first = Number(process.env.EP_FIRST ?? 1);
const candles = Number(process.env.EP_CANDLES ?? 24);
const spoiled = Number(process.env.EP_SPOILED ?? 150);
const dear = Number(process.env.EP_COST ?? 0.4);
const folder = mkdtempSync(join(tmpdir(), 'ep-any-'));
let passed = 0;
let failed = 0;

function is(what, complaints) {
  if (complaints.length === 0) passed++;
  else {
    failed++;
    console.log(`not so: ${what}: ${complaints.slice(0, 4).join('; ')}`);
  }
}

const flag = (key) => `--${key.replaceAll('_', '-')}`;
const text = (v) => {
  if (!Array.isArray(v)) return String(v);
  if (typeof v[0] === 'object' && !Array.isArray(v[0])) return JSON.stringify(v);
  return v.map((pair) => pair.join(': ')).join(', ');
};
const options = (o) => Object.entries(o).flatMap(([k, v]) => [flag(k), text(v)]);

/** Runs a command with --json; gives {status, answer, error}. */
function run(...words) {
  const env = { PATH: process.env.PATH, EVENPOOL_CLOCK: '2026-01-05T08:00:00Z', TZ: 'UTC' };
  const r = spawnSync(program, [...words, '--json'], { cwd: folder, env, encoding: 'utf8', maxBuffer: 1 << 28 });
  const line = (r.stderr ?? '').split('\n').find((l) => l.startsWith('{'));
  const parse = (t) => {
    try {
      return JSON.parse(t);
    } catch {
      return null;
    }
  };
  return { status: r.status, answer: parse(r.stdout), error: line ? parse(line)?.error : null, said: r.stderr, out: r.stdout };
}

/** The four commands of a candle, in order. */
function commands(candle, name) {
  const { container, series, recipe, predict } = candle;
  const refs = { container: `jar ${name}`, series: `wick ${name}` };
  return {
    container: ['shelf', 'add-container', ...options({ name: `jar ${name}`, ...container })],
    series: ['shelf', 'add-series', ...options({ name: `wick ${name}`, ...series })],
    recipe: ['recipe', 'add', ...options({ name: `candle ${name}`, ...refs, ...recipe })],
    predict: ['predict', `candle ${name}`, ...options(predict)],
  };
}

function foresee(seed, candle) {
  const words = commands(candle, seed);
  for (const step of ['container', 'series', 'recipe', 'predict']) {
    const began = Date.now();
    const r = run(...words[step]);
    if (process.env.EP_TIMES && step === 'predict') console.log(`${seed} ${(Date.now() - began) / 1000} s, guessed ${cost(candle).toFixed(2)}`);
    if (step !== 'predict') {
      // what tape and water say of each other is a finding, so the status may be 1
      if (r.status !== 0 || !r.answer) return is(`candle ${seed}, ${words[step].join(' ')}`, [r.said]);
    } else {
      const wrong = r.answer ? impossible(candle, r.answer, r.out) : [`status ${r.status}: ${r.said}`];
      if (r.status > 1) wrong.push(`status ${r.status}`);
      is(`candle ${seed}, ${words.predict.join(' ')}`, wrong);
    }
  }
}

function refuse(seed, shelf) {
  const { step, candle, field, says, what } = spoil(seed, invent(seed, shelf), shelf);
  const words = commands(candle, `bad ${seed}`);
  if (step !== 'container') run(...words.container);
  if (step === 'recipe' || step === 'predict') run(...words.series);
  if (step === 'predict') run(...words.recipe);
  const r = run(...words[step]);
  const wrong = [];
  if (r.status !== 2) wrong.push(`ends with ${r.status}`);
  if (r.answer) wrong.push('gives an answer');
  if (!r.error) wrong.push(`no error object: ${r.said}`);
  else {
    if (r.error.field !== field) wrong.push(`field ${r.error.field} for ${field}`);
    if (!r.error.text.includes(field)) wrong.push('text does not name the field');
    for (const part of says) if (!part.test(r.error.text)) wrong.push(`“${r.error.text}” lacks ${part}`);
  }
  is(`spoiled ${seed} (${what}), ${words[step].join(' ')}`, wrong);
}

try {
  const ids = (kind) => run('shelf', 'materials', '--kind', kind).answer.materials.map((m) => m.id);
  const shelf = Object.fromEntries(['wax', 'fragrance', 'dye', 'additive', 'container', 'wick'].map((k) => [k, ids(k)]));
  for (let n = 0, seed = first; n < candles; seed++) {
    const candle = invent(seed, shelf);
    if (cost(candle) > dear) continue;
    foresee(seed, candle);
    n++;
  }
  const before = run('recipe', 'list').answer.recipes.length;
  for (let n = 0; n < spoiled; n++) refuse(first + n, shelf);
  const names = run('recipe', 'list').answer.recipes.map((r) => r.name);
  is('no refused recipe is in the book', names.length - before <= spoiled ? [] : [`${names.length - before} more`]);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
