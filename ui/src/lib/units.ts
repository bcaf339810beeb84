// How numbers are shown. The door speaks metric; a maker may read inches, ounces and Fahrenheit.
// Factors: NIST SP 811 App. B.8 (inch, ounce, fluid ounce), ASTM D2260 (yd/lb).

export type System = 'metric' | 'us';
export type Kind = 'mm' | 'g' | 'ml' | 'C' | 'g_h' | 'g_m' | 'pct' | 'h' | 'min' | 'd' | 'W' | 'rel' | 'none';

interface Shown {
  unit: string;
  from: (x: number) => number;
  digits: (x: number) => number;
  /** Typed or counted: "5 mm", not "5.0 mm". */
  round?: boolean;
}

const same = (x: number): number => x;
const fixed = (n: number) => () => n;
const byTen = (x: number): number => (Math.abs(x) < 10 ? 1 : 0);

const METRIC: Record<Kind, Shown> = {
  mm: { unit: 'mm', from: same, digits: (x) => (Math.abs(x) < 20 ? 1 : 0), round: true },
  g: { unit: 'g', from: same, digits: (x) => (Math.abs(x) < 20 ? 1 : 0), round: true },
  ml: { unit: 'ml', from: same, digits: byTen },
  C: { unit: '°C', from: same, digits: fixed(0) },
  g_h: { unit: 'g/h', from: same, digits: fixed(1) },
  g_m: { unit: 'g/m', from: same, digits: fixed(2) },
  pct: { unit: '%', from: same, digits: byTen, round: true },
  h: { unit: 'h', from: same, digits: byTen, round: true },
  min: { unit: 'min', from: same, digits: fixed(0) },
  d: { unit: 'days', from: same, digits: fixed(0) },
  W: { unit: 'W', from: same, digits: fixed(1) },
  rel: { unit: '', from: same, digits: fixed(2) },
  none: { unit: '', from: same, digits: byTen, round: true },
};

const US: Record<Kind, Shown> = {
  ...METRIC,
  mm: { unit: 'in', from: (x) => x / 25.4, digits: fixed(2) },
  g: { unit: 'oz', from: (x) => x / 28.349523125, digits: fixed(2) },
  ml: { unit: 'fl oz', from: (x) => x / 29.5735295625, digits: fixed(1) },
  C: { unit: '°F', from: (x) => x * 1.8 + 32, digits: fixed(0) },
  g_h: { unit: 'oz/h', from: (x) => x / 28.349523125, digits: fixed(3) },
};

let system: System = 'metric';
export const setSystem = (s: System): void => void (system = s);
export const getSystem = (): System => system;

const shown = (kind: Kind): Shown => (system === 'us' ? US : METRIC)[kind];
export const unitOf = (kind: Kind): string => shown(kind).unit;
export const inShown = (value: number, kind: Kind): number => shown(kind).from(value);

/** The number alone, in the unit shown; an em dash when unknown. */
export function num(value: number | null | undefined, kind: Kind = 'none', digits?: number): string {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const s = shown(kind);
  const x = s.from(value);
  const text = digits === undefined && s.round ? x.toFixed(s.digits(x)).replace(/\.0+$/, '') : x.toFixed(digits ?? s.digits(x));
  return (/^-0(\.0+)?$/.test(text) ? text.slice(1) : text).replace('-', '\u2212');
}

/** A no-break space between number and unit, and a narrow one before the sign of per cent. */
const joined = (text: string, unit: string): string => (unit === '%' ? `${text}\u202f%` : unit ? `${text}\u00a0${unit}` : text);

const APART = /(\d) (?=(?:mm2?|cm|g\/h|g\/m|kg|g|ml|C|F|K|W|h|min|days?|%|°C|°F|in|oz\/h|oz|lb|fl oz|yd\/lb|[kM]?J\/\w+|W\/mK|kg\/m3)(?![\w/°]))/g;

/** A sentence in which no number parts from its unit at the end of a line. */
export const bound = (text: string): string => text.replace(APART, '$1\u00a0').replace(/\u00a0%/g, '\u202f%');

/** Number and unit. */
export function show(value: number | null | undefined, kind: Kind = 'none', digits?: number): string {
  const text = num(value, kind, digits);
  const unit = unitOf(kind);
  if (text === '–') return 'not known';
  return joined(text, unit);
}

/** Unit symbol of the door to a kind shown here; null when it is shown as it comes. */
export function kindOf(unit: string): Kind | null {
  const table: Record<string, Kind> = {
    mm: 'mm', g: 'g', ml: 'ml', C: 'C', '°C': 'C', 'g/h': 'g_h', 'g/m': 'g_m', '%': 'pct', h: 'h', min: 'min', d: 'd',
  };
  return table[unit] ?? null;
}

/** A value that comes with its own unit (property, reading, limit). */
export function showIn(value: number | null | undefined, unit: string): string {
  const kind = kindOf(unit);
  if (kind) return show(value, kind);
  if (value === null || value === undefined) return 'not known';
  const text = plain(value);
  return joined(text, unit);
}

/** Up to four significant digits, no exponent for bench numbers. */
export function plain(value: number): string {
  if (value === 0) return '0';
  const size = Math.abs(value);
  if (size >= 1e6 || size < 1e-3) return value.toExponential(2).replace('e+', 'e');
  return String(Number(value.toPrecision(4))).replace('-', '\u2212');
}

/** Units offered beside a typed number; the first is the one a bare number means. */
export function typedUnits(kind: Kind): string[] {
  const both: Partial<Record<Kind, [string, string]>> = { mm: ['mm', 'in'], g: ['g', 'oz'], C: ['C', 'F'], ml: ['ml', 'fl oz'] };
  const pair = both[kind];
  if (!pair) return [({ pct: '%', h: 'h', g_m: 'g/m', min: 'min', d: 'd' } as Partial<Record<Kind, string>>)[kind] ?? ''];
  return system === 'us' ? [pair[1], pair[0]] : [...pair];
}
