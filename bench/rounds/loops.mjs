#!/usr/bin/env node
// Many whole searches through commands (loop.mjs), by the plan and by stepping, on the same invented
// candles; means with 95 % intervals (normal).
//   EVENPOOL=build/src/cli/evenpool bench/rounds/loops.mjs [SEARCHES [FIRST_SEED]]     some minutes each
import { execFileSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const loop = join(dirname(fileURLToPath(import.meta.url)), 'loop.mjs');
const n = Number(process.argv[2] ?? 8), first = Number(process.argv[3] ?? 1);

function search(seed, way) {
    const args = [loop, String(seed), ...(way === 'step' ? ['step'] : [])];
    const out = execFileSync(process.execPath, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });
    return JSON.parse(out.trim().split('\n').at(-1));
}

function mean(rows, key) {
    const x = rows.map((r) => r[key]), m = x.reduce((a, b) => a + b, 0) / x.length;
    const sd = Math.sqrt(x.reduce((a, b) => a + (b - m) ** 2, 0) / Math.max(1, x.length - 1));
    return `${m.toFixed(1)} +-${(1.96 * sd / Math.sqrt(x.length)).toFixed(1)}`;
}

console.log('| way | searches | candles | rounds | days | proven |\n|---|---|---|---|---|---|');
for (const way of ['step', 'plan']) {
    const rows = Array.from({ length: n }, (_, i) => search(first + i, way));
    const proven = rows.filter((r) => r.status === 'proven').length;
    console.log(`| ${way} | ${n} | ${mean(rows, 'candles')} | ${mean(rows, 'rounds')} | ${mean(rows, 'days')} | ${proven} |`);
}
