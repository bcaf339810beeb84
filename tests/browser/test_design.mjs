// What ui/DESIGN.md says of colours, letters and keys is what the style sheets hold. Text and edges meet the contrast of WCAG 2.2
// (1.4.3: 4.5 to 1, 1.4.11: 3 to 1), reckoned by its own formula for relative luminance.
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { check, finish } from './lib/browser.mjs';
import { root } from './lib/workshop.mjs';

const read = (name) => readFileSync(path.join(root, 'ui', name), 'utf8');
const design = read('DESIGN.md');
const css = read('src/css/base.css');
const hexes = (cell) => [...cell.matchAll(/`(#[0-9a-f]{6})`/g)].map((m) => m[1]);
const tokens = (block) => new Map([...block.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map((m) => [m[1], m[2]]));

const at = css.indexOf('@media (prefers-color-scheme: dark)');
const light = tokens(css.slice(0, at));
const dark = tokens(css.slice(at, css.indexOf('*, *::before')));
const rows = design.split('\n').filter((l) => /^\| .*`#/.test(l)).map((l) => l.split('|').map((c) => c.trim()));
check('the table of tokens is there', rows.length >= 6, String(rows.length));
for (const [, names, ofLight, ofDark] of rows) {
  names.split(', ').forEach((name, i) => {
    check(`${name} in light`, light.get(name) !== undefined && light.get(name) === hexes(ofLight)[i], `${light.get(name)} / ${hexes(ofLight)[i]}`);
    check(`${name} in dark`, dark.get(name) !== undefined && dark.get(name) === hexes(ofDark)[i], `${dark.get(name)} / ${hexes(ofDark)[i]}`);
  });
}
check('every colour of the light scheme has one in the dark', [...light.keys()].every((k) => dark.has(k)), [...light.keys()].filter((k) => !dark.has(k)).join());

function luminance(hex) {
  const [r, g, b] = [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(a, b) {
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (high + 0.05) / (low + 0.05);
}
for (const [scheme, t] of [['light', light], ['dark', dark]]) {
  for (const ground of ['paper', 'sheet']) {
    for (const text of ['ink', 'ink-2', 'accent', 'stop', 'warn']) check(`${text} on ${ground}, ${scheme}: 4.5 to 1`, contrast(t.get(text), t.get(ground)) >= 4.5, contrast(t.get(text), t.get(ground)).toFixed(2));
    check(`rule-2 on ${ground}, ${scheme}: 3 to 1`, contrast(t.get('rule-2'), t.get(ground)) >= 3, contrast(t.get('rule-2'), t.get(ground)).toFixed(2));
  }
}

const rootPx = Number(/Root size (\d+) px/.exec(design)[1]);
const rootShare = Number(/html \{ font-size: ([\d.]+)%/.exec(css)[1]);
check('the root size', rootPx === (16 * rootShare) / 100, `${rootPx} px, ${rootShare} %`);
const keyRem = Number(/\.pad-key \{ min-height: ([\d.]+)rem/.exec(read('src/css/bench.css'))[1]);
const keyPx = Number(/keys of the pad (\d+) px/.exec(design)[1]);
check('the keys of the pad', keyRem * rootPx >= keyPx, `${keyRem * rootPx} px, ${keyPx} px said`);
finish();
