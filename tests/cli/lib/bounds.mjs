// What no forecast may say, whatever the candle: each complaint is a text.
import { widthAt } from './invent.mjs';

// where nothing can be said: no pool, no soot limit, one flame, never got there
const MAY_BE_NULL = new Set(['pool_bulk_C', 'pool_edge_C', 'soot_margin_mm', 'flame_apart_mm', 'wall_reached_min', 'burn_h_to_stop',
  'burn_h_claim', 'wall_reached_session', 'wall_counts_session', 'candle', 'session', 'value', 'limit', 'unit', 'failure_bound_pct', 'worst_margin_pct',
  'effective_draws', 'out', 'flame_gap_mm', 'p05', 'p50', 'p95', 'next_move', 'tested']);

function nulls(value, key, wrong) {
  if (value === null && !MAY_BE_NULL.has(key)) wrong.push(`${key} is null`);
  if (value && typeof value === 'object') {
    // a wick that never lit has no rate
    const unlit = value.lit_h === 0 && value.rate_g_h === null;
    // one that ends before its first sample was looked at by nobody
    const unseen = value.lit_h < 0.1 && value.reach_pct === null;
    for (const [k, v] of Object.entries(value)) if (!unseen && !(unlit && k === 'rate_g_h')) nulls(v, Array.isArray(value) ? key : k, wrong);
  }
}

function within(wrong, key, list, lo, hi) {
  for (const v of list) {
    if (v !== null && !(v >= lo && v <= hi)) {
      wrong.push(`${key} ${v} outside ${lo} to ${hi}`);
      return;
    }
  }
}

const rising = (list) => list.every((v, i) => i === 0 || v >= list[i - 1] - 1e-6);

function samples(wrong, candle, t, room, fill) {
  const { profile, outline, across } = candle.container;
  const bore = Math.max(...profile.map(([z]) => widthAt(candle.container, z)));
  // the widest pool of a rectangle lies along its diagonal
  const wide = outline === 'rectangle' ? bore * Math.hypot(1, across / profile.at(-1)[1]) : bore;
  const high = candle.container.profile.at(-1)[0];
  // where the surface may stand: the wax swells by up to a sixth as it melts
  const bounds = {
    rate_g_h: [0, 400], level_mm: [0, 1.16 * fill], reach_pct: [0, 100.001], touched_pct: [0, 100.001], pool_wide_mm: [0, wide * 1.001],
    pool_narrow_mm: [0, wide * 1.001], depth_axis_mm: [0, 1.2 * fill], depth_mid_mm: [0, 1.2 * fill], depth_wall_mm: [0, 1.2 * fill],
    hangup_g: [0, t.left_g[0] * 1.001], pool_bulk_C: [room - 0.5, 500], pool_edge_C: [room - 0.5, 500], pool_wick_C: [room - 0.5, 700],
    wall_max_C: [room - 0.5, 600], wall_max_at_mm: [0, high + 5], flame_mm: [0, 300], exposed_mm: [-50, 120], flame_gap_mm: [0, wide / 2 + 0.01],
    flame_apart_mm: [8, 400], flames_in_one: [0, 6], flicker_Hz: [0, 30], soot_margin_mm: [-300, 200], stress_index: [0, 50], scent_rel: [0, 1e6], cap_index: [0, 3], left_g: [0, 1e5],
    hour: [0, 64 * 8.001], minute: [0, 8.001 * 60],
  };
  for (const [key, [lo, hi]] of Object.entries(bounds)) within(wrong, key, t[key], lo, hi);
  for (const key of Object.keys(t)) if (!bounds[key] && !['session', 'lit'].includes(key)) wrong.push(`no bound for ${key}`);
  if (new Set(Object.values(t).map((l) => l.length)).size !== 1) wrong.push('arrays of unequal length');
  if (!rising(t.left_g.map((v) => -v))) wrong.push('wax comes back');
  if (!rising(t.hour) || !rising(t.session)) wrong.push('time runs back');
  t.pool_narrow_mm.forEach((v, i) => v > t.pool_wide_mm[i] * 1.001 && wrong.push(`narrow ${v} beyond wide ${t.pool_wide_mm[i]}`));
  t.rate_g_h.forEach((v, i) => !t.lit[i] && v > 0 && wrong.push('burns unlit'));
}

function books(wrong, f) {
  const { summary, sessions, heat, ledger } = f;
  if (!(Math.abs(ledger.energy_rel) < 1e-9)) wrong.push(`energy ledger ${ledger.energy_rel}`);
  if (!(Math.abs(ledger.mass_rel) < 1e-9)) wrong.push(`mass ledger ${ledger.mass_rel}`);
  const burned = sessions.reduce((sum, s) => sum + s.burned_g, 0);
  const gone = summary.fill_g - summary.left_g;
  if (!(Math.abs(burned - gone) < 0.01 + 0.001 * gone)) wrong.push(`sessions burned ${burned} of ${gone} g`);
  const lit = sessions.reduce((sum, s) => sum + s.lit_h, 0);
  if (!(Math.abs(lit - summary.burn_h_total) < 0.01 + 0.001 * lit)) wrong.push(`lit ${lit} of ${summary.burn_h_total} h`);
  if (summary.burn_h_to_stop !== null && summary.burn_h_to_stop > summary.burn_h_total + 1e-6) wrong.push('stop after the end');
  if (!(heat.pool_W + heat.wall_W <= heat.flame_W + 1e-9)) wrong.push('more heat taken than made');
  for (const [key, v] of Object.entries(heat)) if (key !== 'text' && !(v >= -0.02 * heat.flame_W - 1e-3)) wrong.push(`${key} ${v}`);
  if (heat.melting_W > heat.wick_W + 1e-9) wrong.push('melting beyond what the wick carried');
}

function odds(wrong, f) {
  if (!f.odds) return;
  const o = f.odds;
  const all = o.right_pct + o.too_small_pct + o.too_big_pct + o.wrong_kind_pct + o.unknown_pct;
  if (Math.abs(all - 100) > 0.5) wrong.push(`odds add up to ${all}`);
  for (const band of [o.rate_g_h, o.wall_max_C, o.flame_max_mm, o.burn_h, ...Object.values(f.intervals).flat()]) {
    if (!(band.p05 <= band.p50 && band.p50 <= band.p95)) wrong.push(`band ${JSON.stringify(band)}`);
  }
}

/** Everything in a forecast that cannot be. */
export function impossible(candle, f, text) {
  const wrong = [];
  if (/\bnan\b|\binf\b|infinit/i.test(text)) wrong.push('nan or inf in the text');
  nulls(f, '', wrong);
  const fill = candle.recipe.fill_height ?? candle.container.profile.at(-1)[0] - candle.recipe.headspace;
  if (f.trace.hour.length === 0 && f.summary.burn_h_total > 0) wrong.push('no samples');
  if (f.trace.hour.length > 0) samples(wrong, candle, f.trace, 21, fill);
  books(wrong, f);
  odds(wrong, f);
  if (!f.verdict?.kind || !f.summary.text || !(f.cautions.length > 0)) wrong.push('no verdict, text or cautions');
  if (f.cut.frames.some((x) => x.T_C.length !== f.cut.nr * f.cut.nz)) wrong.push('picture of another size');
  return wrong;
}
