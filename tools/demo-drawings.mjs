// Draws jars of the demo from above, as its own readings say they looked: widest and narrowest pool, soot, carbon
// on the wick. Drawings, and they say so. Writes data/demo/drawings.json; src/app/demo_drawings.c shows them.
// usage: node tools/demo-drawings.mjs (with the packages of ui/ installed; EVENPOOL names the program)
import { writeFileSync } from 'node:fs';
import path from 'node:path';
import { launch } from '../tests/browser/lib/browser.mjs';
import { root, Workshop } from '../tests/browser/lib/workshop.mjs';

const SIDE = 400; // pixels
const PER_MM = 4.15;
const MID = SIDE / 2;
const QUALITY = 52;
const SESSION = 4; // the last that all three sizes burned together
const MINUTES = [60, 240];
const PAPER = '#f4eee2', INK = '#241f19', QUIET = '#5b5244', SOLID = '#f6ecd2', MELT = '#d99a35';

/** mulberry32: a line drawn by hand wavers, and wavers the same each time. */
function hand(seed) {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** A closed line through the ends of an ellipse's radii, a little off. */
function ring(rx, ry, waver, seed) {
  const next = hand(seed);
  const n = 36;
  const at = Array.from({ length: n }, (_, i) => {
    const a = (2 * Math.PI * i) / n;
    const k = 1 + (next() - 0.5) * waver;
    return [MID + rx * k * Math.cos(a), MID - 8 + ry * k * Math.sin(a)];
  });
  const mid = (p, q) => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2].map((x) => x.toFixed(1)).join(' ');
  return `M ${mid(at[n - 1], at[0])} ${at.map((p, i) => `Q ${p.map((x) => x.toFixed(1)).join(' ')} ${mid(p, at[(i + 1) % n])}`).join(' ')} Z`;
}

/** Soot: short strokes along the wall, more of them with the grade. */
function soot(grade, r, seed) {
  const next = hand(seed);
  return Array.from({ length: 40 * grade }, () => {
    const a = 0.4 + 1.9 * next();
    const [from, to] = [r - 2, r - 6 - 9 * next()];
    const p = (d) => `${(MID + d * Math.cos(a)).toFixed(1)} ${(MID - 8 - d * Math.sin(a)).toFixed(1)}`;
    return `<path d="M ${p(from)} L ${p(to)}" stroke="#3a332b" stroke-opacity="${(0.15 + 0.4 * next()).toFixed(2)}" stroke-width="${(1.5 + 3 * next()).toFixed(1)}"/>`;
  }).join('');
}

function drawing({ inner_mm, wide_mm, narrow_mm, soot: grade, mushroom }, seed) {
  const r = (inner_mm * PER_MM) / 2;
  const [rx, ry] = [wide_mm, narrow_mm].map((d) => (d * PER_MM) / 2);
  const full = narrow_mm >= inner_mm - 1;
  const y = MID - 8;
  const head = 3.5 + 2.5 * mushroom;
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${SIDE}" height="${SIDE}" font-family="sans-serif">
  <defs>
    <radialGradient id="melt"><stop offset="0" stop-color="#f3c566"/><stop offset=".35" stop-color="${MELT}"/><stop offset="1" stop-color="#c98a2b"/></radialGradient>
    <radialGradient id="glow"><stop offset="0" stop-color="#fffbe6"/><stop offset=".25" stop-color="#ffe9a3" stop-opacity=".95"/><stop offset=".6" stop-color="#ffd465" stop-opacity=".45"/><stop offset="1" stop-color="#ffd465" stop-opacity="0"/></radialGradient>
  </defs>
  <rect width="${SIDE}" height="${SIDE}" fill="${PAPER}"/>
  <path d="${ring(r + 17, r + 17, 0.006, seed)}" fill="#e7dfcf" stroke="${INK}" stroke-width="2"/>
  <path d="${ring(r, r, 0.005, seed + 1)}" fill="${SOLID}" stroke="${INK}" stroke-width="1.6"/>
  <path d="${ring(full ? r - 2 : rx, full ? r - 2 : ry, full ? 0.004 : 0.022, seed + 2)}" fill="url(#melt)" stroke="${INK}" stroke-width="1.3"/>
  ${soot(grade, r, seed + 3)}
  <circle cx="${MID}" cy="${y}" r="40" fill="url(#glow)"/>
  <ellipse cx="${MID}" cy="${y}" rx="${head + 1.5}" ry="${head}" fill="${INK}"/>
  <path d="M ${MID - rx} ${y} h ${2 * rx} M ${MID - rx} ${y - 6} v 12 M ${MID + rx} ${y - 6} v 12" stroke="${INK}" stroke-width="1.4" stroke-dasharray="5 4" opacity=".7"/>
  <text x="${MID}" y="${y + 40}" text-anchor="middle" font-size="27" fill="${INK}" stroke="#f3c566" stroke-width="4" paint-order="stroke">${wide_mm} mm</text>
  <text x="${MID}" y="${SIDE - 14}" text-anchor="middle" font-size="25" fill="${QUIET}">drawn, not a photo</text>
</svg>`;
}

/** "64 to 66 mm wide in a jar of 68 mm": what the picture shows, for who cannot see it. */
function told(d) {
  const pool = d.narrow_mm >= d.inner_mm - 1 ? `${d.wide_mm} mm wide, from wall to wall` : `${d.narrow_mm} to ${d.wide_mm} mm wide in a jar of ${d.inner_mm} mm`;
  const more = [d.soot && 'soot on the wall', d.mushroom && 'carbon on the wick'].filter(Boolean);
  return `Drawing, not a photo: ${d.size} from above. The pool is ${pool}${more.map((m) => `; ${m}`).join('')}.`;
}

/** What was read on the candles of the demo's first pour, at the minutes that are drawn. */
async function facts(workshop) {
  const recipe = (await workshop.get('/api/recipes')).recipes.find((r) => r.state === 'proven');
  const { revision } = await workshop.get(`/api/recipes/${recipe.id}`);
  const inner_mm = (await workshop.get(`/api/containers/${revision.container.id}`)).across_mm;
  const of = `recipe=${recipe.id}`;
  const { candles } = await workshop.get(`/api/candles?${of}`);
  const { readings } = await workshop.get(`/api/readings?${of}`);
  const { sessions } = await workshop.get(`/api/sessions?${of}&limit=500`);
  const first = sessions.reduce((a, b) => (a.lit_at < b.lit_at ? a : b)).candles.map((c) => c.code);
  return candles.filter((c) => first.includes(c.code)).flatMap((c) => MINUTES.map((minute) => {
    const lit = sessions.find((s) => s.candles.some((x) => x.code === c.code && x.number === SESSION));
    const value = (kind) => readings.find((r) => r.code === c.code && r.session_id === lit.id && r.kind === kind && r.minute === minute)?.value ?? 0;
    return { size: c.size_name, session: SESSION, minute, inner_mm, wide_mm: value('pool_wide'), narrow_mm: value('pool_narrow'), soot: value('soot'), mushroom: value('mushroom') };
  }));
}

const workshop = new Workshop({ demo: true });
const browser = await launch();
await workshop.start();
const page = await browser.newPage({ viewport: { width: SIDE, height: SIDE } });
const rows = [];
for (const [i, d] of (await facts(workshop)).entries()) {
  await page.setContent(`<body style="margin:0">${drawing(d, 7 + 10 * i)}</body>`);
  const jpeg = await page.screenshot({ type: 'jpeg', quality: QUALITY });
  rows.push(JSON.stringify({ size: d.size, session: d.session, minute: d.minute, alt: told(d), jpeg: jpeg.toString('base64') }));
}
const text = `[\n${rows.join(',\n')}\n]\n`;
writeFileSync(path.join(root, 'data/demo/drawings.json'), text);
console.log(`${rows.length} drawings, ${text.length} bytes`);
await browser.close();
await workshop.close();
