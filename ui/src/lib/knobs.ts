// What can be turned on a recipe to see what would happen, between what and what, and how a turned
// recipe is written down: the next revision, with a container of its own when its width changed.
import { aboveAt } from './above';
import type { Changes } from './ask';
import type { Container, Recipe, Revision, Size } from './types';
import { inShown, unitOf, type Kind } from './units';

export type KnobKey = 'inner_diameter' | 'load' | 'size' | 'wick_count' | 'fill_height';
export interface Knob {
  key: KnobKey; label: string; kind: Kind; min: number; max: number; step: number;
  /** The recipe as it stands. */
  stands: number;
  /** What a place of the slider is called when it is no number: the wick sizes. */
  names?: string[];
}
export type Turned = Partial<Record<KnobKey, number>>;

export function knobsOf(recipe: Recipe, container: Container, sizes: Size[], shown: string): Knob[] {
  const r = recipe.revision;
  const wide = aboveAt(container, r.fill_height_mm).long_mm;
  const out: Knob[] = [{
    key: 'inner_diameter', label: (container.outline ?? 'round') === 'round' ? 'Inner diameter at the fill line' : 'Longer inner side at the fill line', kind: 'mm',
    min: Math.max(15, Math.round(0.6 * wide)), max: Math.min(400, Math.round(1.5 * wide)), step: 0.5, stands: tidy(wide),
  }];
  if (r.fragrance) {
    out.push({
      key: 'load', label: `Fragrance load, ${r.load_basis === 'of_wax' ? 'of the wax' : 'of the whole mix'}`, kind: 'pct',
      min: 0, max: Math.min(30, Math.max(15, Math.ceil(1.5 * r.load_pct))), step: 0.5, stands: tidy(r.load_pct),
    });
  }
  if (sizes.length > 1) {
    out.push({
      key: 'size', label: `Wick size of ${r.series.name}`, kind: 'none', min: 0, max: sizes.length - 1, step: 1,
      stands: Math.max(0, sizes.findIndex((s) => s.id === shown)), names: sizes.map((s) => s.name),
    });
  }
  out.push({ key: 'wick_count', label: 'Wicks in the jar', kind: 'none', min: 1, max: 6, step: 1, stands: r.wick_count });
  out.push({
    key: 'fill_height', label: 'Height of the wax', kind: 'mm', min: Math.min(r.fill_height_mm, Math.max(15, Math.round(0.4 * r.fill_height_mm))),
    max: Math.floor(container.height_mm), step: 1, stands: tidy(r.fill_height_mm),
  });
  return out;
}

const tidy = (x: number): number => Number(x.toFixed(2));

/** A place of a knob as a person reads it: "75 mm", "8.5 %", "Flat 5", "2". */
export function sayKnob(k: Knob, x: number): string {
  if (k.names) return k.names[x] ?? '';
  const unit = unitOf(k.kind);
  return `${plainKnob(k, x)}${unit === '%' ? '\u202f%' : unit ? `\u00a0${unit}` : ''}`;
}

/** The number alone, in the unit shown, as precise as the slider steps. */
export const plainKnob = (k: Knob, x: number): string => String(Number(inShown(x, k.kind).toFixed(k.kind === 'none' ? 0 : unitOf(k.kind) === 'in' ? 2 : 1)));

export const isTurned = (k: Knob, t: Turned): boolean => t[k.key] !== undefined && Math.abs(t[k.key]! - k.stands) > 1e-6;

const unitAtDoor: Record<KnobKey, string> = { inner_diameter: ' mm', load: ' %', size: '', wick_count: '', fill_height: ' mm' };

/** The fields of the question, as the door wants them. */
export function changesOf(knobs: Knob[], t: Turned, sizes: Size[]): Changes {
  const out: Changes = {};
  for (const k of knobs) {
    if (!isTurned(k, t)) continue;
    out[k.key] = k.key === 'size' ? (sizes[t.size!]?.id ?? '') : `${t[k.key]}${unitAtDoor[k.key]}`;
  }
  return out;
}

/** The next revision, without its container. */
export function revisionOf(changes: Changes, t: Turned, r: Revision, wide_mm: number): Record<string, unknown> {
  const { inner_diameter, wick_count, ...rest } = changes;
  const body: Record<string, unknown> = { ...rest };
  const byHand = r.places_default === false && r.places;
  if (wick_count) Object.assign(body, { wick_count: t.wick_count, places: null });
  else if (inner_diameter && byHand) {
    const k = t.inner_diameter! / wide_mm;
    body.places = byHand.map((p) => ({ x: `${tidy(p.x_mm * k)} mm`, y: `${tidy(p.y_mm * k)} mm` }));
  }
  return body;
}

/** The same profile with all widths in proportion: drawn, not measured, so without water and tare. */
export function widened(c: Container, k: number): Record<string, unknown> {
  const body: Record<string, unknown> = {
    material: c.material.id, wall: `${c.wall_mm} mm`, base: `${c.base_mm} mm`,
    profile: c.profile.map((p) => ({ height: `${p.height_mm} mm`, inner_diameter: `${tidy(p.inner_diameter_mm * k)} mm` })),
  };
  if (c.outline && c.outline !== 'round') {
    body.outline = c.outline;
    if (c.across_mm) body.across = `${tidy(c.across_mm * k)} mm`;
    if (c.corner_mm && c.outline === 'rectangle') body.corner = `${tidy(c.corner_mm * k)} mm`;
  }
  return body;
}

/** "Inner diameter 68 to 75 mm". */
export const sayChange = (k: Knob, t: Turned): string => `${k.label}: ${k.names ? k.names[k.stands] : plainKnob(k, k.stands)} to ${sayKnob(k, t[k.key]!)}`;

export const upper = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);
export const lower = (s: string): string => s.charAt(0).toLowerCase() + s.slice(1);
