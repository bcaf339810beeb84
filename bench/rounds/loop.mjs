#!/usr/bin/env node
// A whole search through commands alone (docs/scripting.md): an invented maker whose candles follow
// plain power laws burns what the plan asks for until it says proven or none.
//   EVENPOOL=build/src/cli/evenpool bench/rounds/loop.mjs [SEED [step]]
// With "step" the plan is not asked: one candle from the middle size, a size up or down as it fails,
// and two more of the first that passes, the usual habit to compare with.
// EP_NEED: what the jar needs, times as much (1.4 puts the right wick a size and a half higher);
// EP_NOISE: readings and candles that stray times as much.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

const program = resolve(process.env.EVENPOOL ?? 'build/src/cli/evenpool');
const folder = mkdtempSync(join(tmpdir(), 'rounds-'));
const db = join(folder, 'workshop.evenpool');
let hour = 0;  // of the programme
const at = () => new Date(Date.UTC(2026, 0, 5, 8) + hour * 3600e3).toISOString().slice(0, 19) + 'Z';

// one command; 0 is well, 1 is well with a finding
function ep(...args) {
    const options = { env: { ...process.env, EVENPOOL_CLOCK: at(), TZ: 'UTC' }, encoding: 'utf8' };
    try {
        return JSON.parse(execFileSync(program, [...args, '--db', db, '--json'], options));
    } catch (e) {
        if (e.status === 1) return JSON.parse(e.stdout);
        throw new Error(`evenpool ${args.join(' ')}: ${e.stderr}`);
    }
}

// numbers that depend on the seed alone (mulberry32), normal by Box and Muller
let state = Number(process.argv[2] ?? 1) >>> 0;
function uniform() {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
}
const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());

const noise = Number(process.env.EP_NOISE ?? 1);
const world = { rate: 4.4 * Math.exp(0.15 * normal()), need: Number(process.env.EP_NEED ?? 1) * 4.6 * Math.exp(0.15 * normal()) };
const sizes = [0.6, 0.8, 1.0, 1.3, 1.7, 2.2];
const INNER = 70, EMPTY = 240;
console.log(`world: ${world.rate.toFixed(2)} g/h from 1 g/m, ${world.need.toFixed(2)} g/h needed`);

ep('shelf', 'add-container', '--name', 'glass', '--material', 'std-container-soda-lime', '--inner-diameter',
    `${INNER} mm`, '--height', '85 mm', '--wall', '3 mm', '--base', '6 mm', '--empty-mass', `${EMPTY} g`);
ep('shelf', 'add-series', '--name', 'flat', '--construction', 'std-wick-flat-braid', '--sizes',
    sizes.map((g, i) => `${i + 1}=${g} g/m`).join('; '));
ep('recipe', 'add', '--name', 'trial', '--container', 'glass', '--waxes', 'std-wax-soy: 100 %', '--series',
    'flat', '--fill-height', '60 mm', '--trim', '6 mm', '--session', '4 h', '--stop-height', '12 mm');

function burnNow(c) {  // what the invented candle does in its next session
    const life = 1 - c.left / c.fill, n = c.sessions + 1;
    const rate = world.rate * sizes[c.size] ** 0.7 * c.own * (1 + 0.12 * life), x = rate / world.need;
    const reach = Math.min(1, Math.sqrt(x) * (0.84 + 0.16 * Math.min(1, (n - 1) / 2)) * (1 + 0.1 * life));
    return { rate, reach, depth: Math.max(0.5, 3 + 17 * (x - 0.8) + 3 * life * x), flame: 5.2 * rate,
        wall: 21 + 27 * x ** 0.9 * (0.5 + 0.5 * reach) * (1 + 0.3 * life) };
}

function session(lit) {
    const masses = () => lit.map((c) => `${c.code}=${(EMPTY + c.left).toFixed(1)} g`).join(', ');
    const s = ep('burn', 'light', '--candles', lit.map((c) => c.code).join(', '), '--room-temp', '21 C',
        '--draught', '0', '--masses', masses());
    hour += 4;
    const readings = lit.flatMap((c) => {
        const b = burnNow(c);
        c.left -= Math.min(4 * b.rate, c.left);
        c.sessions++;
        const full = b.reach > 0.995;
        const mm = full ? INNER : Math.min(INNER, INNER * b.reach + 1.5 * noise * normal());
        return [['pool_wide', mm], ['pool_narrow', mm], ['pool_depth', Math.max(0, b.depth + noise * normal())],
            ['flame', b.flame * (1 + 0.08 * noise * normal())], ['wall_temp', b.wall + 1.5 * noise * normal()], ['soot', 0],
            ['smoke', 0], ['hangup', full ? 0 : (INNER - mm) / 2], ['hangup_share', full ? 0 : 100]]
            .map(([kind, value]) => ({ candle: c.code, kind, value: Math.round(value * 10) / 10 }));
    });
    ep('burn', 'read-many', '--readings', JSON.stringify(readings));
    ep('burn', 'out', s.id, '--masses', masses());
    hour += 20;
}

function finish(open) {
    const wicks = ep('judge', 'trial').wicks;
    return open.filter((c) => {
        const v = wicks.find((w) => w.candles.includes(c.code)).verdict;
        const failed = v.stop_now || ['too_small', 'too_big', 'wrong_kind'].includes(v.kind);
        if (!failed && c.left > 0.17 * c.fill) return true;
        console.log(`  ${c.code} size ${c.size + 1}, ${c.sessions} sessions: ${v.kind}${failed ? ', given up' : ', to the end'}`);
        ep('pour', 'finish', c.code, '--reason', failed ? 'given_up' : 'end');
        return false;
    });
}

// the habit: what to burn next, from the judge's word alone
function step() {
    const wicks = new Map(ep('judge', 'trial').wicks.map((w) => [w.size_name, w]));
    let at = sizes.length >> 1, lo = -1, hi = sizes.length;
    const say = (status, candles) => ({ status, sentence: `step to ${at + 1}`, cure_days: 14, chance_wrong_pct: null,
        set: [{ size_name: `${at + 1}`, candles }] });
    while (at > lo && at < hi) {
        const w = wicks.get(`${at + 1}`), kind = w?.verdict.kind;
        if (!w) return say('pour', 1);
        if (kind === 'right') return say('proven', 0);
        const hot = w.verdict.stop_now || kind === 'too_big' || kind === 'wrong_kind';
        if (!hot && kind !== 'too_small' && w.candles.length < 3) return say('pour', 2);
        if (hot) hi = at--;
        else lo = at++;
    }
    return { status: 'none', sentence: '', set: [] };
}

const members = process.env.EP_MEMBERS ?? '16';
const next = () => process.argv[3] === 'step' ? step() : ep('plan', 'trial', '--members', members);
let candles = 0, rounds = 0, answer;
for (;;) {
    answer = next();
    console.log(`day ${Math.floor(hour / 24)}: ${answer.status}: ${answer.sentence}`);
    if (answer.status !== 'pour' || rounds === 12) break;
    const poured = ep('pour', 'add', '--recipe', 'trial', '--set',
        answer.set.map((s) => `${s.size_name}: ${s.candles}`).join(', '));
    let open = poured.candles.map((c) => ({ code: c.code, size: Number(c.size_name) - 1, sessions: 0,
        fill: c.wax_mass_g, left: c.wax_mass_g, own: Math.exp(0.045 * noise * normal()) }));
    candles += open.length;
    rounds++;
    hour += 24 * Math.max(1, answer.cure_days);
    while (open.length > 0) {
        session(open);
        open = finish(open);
    }
}
console.log(JSON.stringify({ status: answer.status, size: answer.set[0]?.size_name ?? null, candles, rounds,
    days: Math.floor(hour / 24), chance_wrong_pct: answer.chance_wrong_pct }));
rmSync(folder, { recursive: true, force: true });
