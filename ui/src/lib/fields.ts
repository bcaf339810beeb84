// What a number field takes, from the door's own table (src/app/*.def): its unit, from where to where, an example.
import table from 'fields:';
import { said } from './said';
import { getSystem, inShown, kindOf, plain, unitOf, type Kind } from './units';

export interface FieldRow { unit: string; min: number; max: number; example: string }

/** The cases a form sends, by the first word of the name its draft is kept under. */
const CASES: Record<string, string[]> = {
  container: ['container_add'], series: ['series_add'], recipe: ['recipe_add'], pour: ['pour_add', 'recipe_weigh'],
  light: ['session_light'], end: ['session_end'], weigh: ['session_end'], lot: ['lot_add'],
};

/** `name` as the form has it ("sizes.0.width"); null where the table has no number of it. */
export function rowOf(about: string, name: string): FieldRow | null {
  const plainly = name.split('.').filter((part) => !/^\d+$/.test(part)).join('.');
  for (const c of CASES[about] ?? []) if (table[c]?.[plainly]) return table[c]![plainly]!;
  return null;
}

const LARGE: Record<string, { unit: string; of: number }> = { g: { unit: 'kg', of: 1000 }, oz: { unit: 'lb', of: 16 } };

/** "15 to 400 mm", in the units shown; what is typed as the end of it is taken. */
export function rangeOf({ unit, min, max }: Pick<FieldRow, 'unit' | 'min' | 'max'>): string {
  const kind = kindOf(unit);
  const shown = kind ? unitOf(kind) : unit;
  const [lo, hi] = [edge(min, kind, Math.ceil), edge(max, kind, Math.floor)];
  const large = LARGE[shown];
  const words = large && hi >= 10 * large.of
    ? `${plain(lo)}${lo ? `\u00a0${shown}` : ''} to ${plain(edge(hi / large.of, null, Math.floor))}\u00a0${large.unit}`
    : `${plain(lo)} to ${plain(hi)}${shown === '%' ? '\u202f%' : shown ? `\u00a0${shown}` : ''}`;
  return words;
}

/** Turned into other units it is rounded inward, to three figures and hundredths: what small lengths and masses are read to. */
function edge(metric: number, kind: Kind | null, inward: (x: number) => number): number {
  const x = kind ? inShown(metric, kind) : metric;
  if (getSystem() === 'metric' || x === 0) return x;
  const figures = Math.floor(Math.log10(Math.abs(x))) - 2;
  const step = 10 ** (Math.abs(x) < 0.02 ? figures : Math.max(-2, figures));
  return inward(Number((x / step).toPrecision(9))) * step;
}

/** The one line below a number field; what it already says of itself is not said twice. */
export function lineOf(row: FieldRow, example: string | undefined, help: string | undefined): { range: string; help: string } {
  const range = rangeOf(row);
  const such = said(example ?? row.example);
  const told = !example && row.unit !== '' && Boolean(help?.includes(row.example));
  return { range: such && !told ? `${range}, for example ${such}` : range, help: help === range ? '' : said(help ?? '') };
}
