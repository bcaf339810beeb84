// A lenient reading of typed quantities, only for drawings and the "= 76.2 mm" line under a field.
// What counts is the door's own reading of the same text.
import type { Kind } from './units';

const SCALE: Partial<Record<Kind, Record<string, (x: number) => number>>> = {
  mm: { mm: (x) => x, cm: (x) => x * 10, m: (x) => x * 1000, in: (x) => x * 25.4, inch: (x) => x * 25.4, inches: (x) => x * 25.4, '"': (x) => x * 25.4 },
  g: { g: (x) => x, gr: (x) => x, kg: (x) => x * 1000, oz: (x) => x * 28.349523125, lb: (x) => x * 453.59237, lbs: (x) => x * 453.59237 },
  C: { c: (x) => x, '°c': (x) => x, f: (x) => (x - 32) / 1.8, '°f': (x) => (x - 32) / 1.8, k: (x) => x - 273.15 },
  h: { h: (x) => x, hr: (x) => x, hours: (x) => x, hour: (x) => x, min: (x) => x / 60 },
  pct: { '%': (x) => x, pct: (x) => x, percent: (x) => x },
  g_m: { 'g/m': (x) => x, tex: (x) => x / 1000, 'yd/lb': (x) => 496.054648 / x, 'yards/lb': (x) => 496.054648 / x },
};

const NUMBER = /^(-?(?:\d+\.?\d*|\.\d+))(?:\s+(\d+)\/(\d+)|\/(\d+))?\s*(.*)$/;

/** Value in `kind`'s metric unit; null when this page cannot read it. `bare` is the unit of a number alone. */
export function guess(text: string, kind: Kind, bare: string): number | null {
  const m = NUMBER.exec(text.trim());
  if (!m) return null;
  let x = Number(m[1]);
  if (m[2] && m[3]) x += Number(m[2]) / Number(m[3]);
  if (m[4]) x /= Number(m[4]);
  const unit = (m[5] || bare).trim().toLowerCase();
  const scale = SCALE[kind]?.[unit];
  if (!scale) return unit === '' ? x : null;
  const value = scale(x);
  return Number.isFinite(value) ? value : null;
}

const BARE = /^-?(?:\d+\.?\d*|\.\d+)(?:\s+\d+\/\d+|\/\d+)?$/;

/** Text for the door: as typed; a number alone gets the unit written beside the field. */
export function withUnit(text: string, unit: string): string {
  const t = text.trim();
  return unit && BARE.test(t) ? `${t} ${unit}` : t;
}
