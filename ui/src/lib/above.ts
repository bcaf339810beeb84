// A vessel seen from above, in millimetres from its centre, x along the longer side: how far a point
// is from the wall, and where wicks stand that take equal shares. The same equations as the engine's
// (docs/physics, G12 and G13), here only for drawing; the distances kept are the door's own.
import type { Container } from './types';

export type Outline = 'round' | 'rectangle' | 'oval';
export interface Above { outline: Outline; long_mm: number; across_mm: number; corner_mm: number }
export interface Spot { x: number; y: number }

/** The sides measured are those at the brim; they scale with the profile. */
export function aboveAt(c: Container, height_mm: number): Above {
  const p = c.profile;
  const brim = p[p.length - 1]!.inner_diameter_mm;
  const i = p.findIndex((s) => s.height_mm >= height_mm);
  const b = p[i < 0 ? p.length - 1 : i]!;
  const a = i > 0 ? p[i - 1]! : b;
  const t = b.height_mm === a.height_mm ? 1 : (height_mm - a.height_mm) / (b.height_mm - a.height_mm);
  const long_mm = a.inner_diameter_mm + (b.inner_diameter_mm - a.inner_diameter_mm) * t;
  const k = long_mm / brim;
  return { outline: c.outline ?? 'round', long_mm, across_mm: (c.across_mm ?? brim) * k, corner_mm: (c.corner_mm ?? 0) * k };
}

/** Distance to the inner wall; negative outside. */
export function gapAt(a: Above, { x, y }: Spot): number {
  const [hx, hy] = [a.long_mm / 2, a.across_mm / 2];
  if (a.outline === 'rectangle') {
    const [qx, qy] = [Math.abs(x) - hx + a.corner_mm, Math.abs(y) - hy + a.corner_mm];
    return a.corner_mm - Math.hypot(Math.max(qx, 0), Math.max(qy, 0)) - Math.min(Math.max(qx, qy), 0);
  }
  if (a.outline === 'oval') {
    const k0 = Math.hypot(x / hx, y / hy);
    const k1 = Math.hypot(x / (hx * hx), y / (hy * hy));
    return k1 > 0 ? (k0 * (1 - k0)) / k1 : hy;
  }
  return hx - Math.hypot(x, y);
}

/** The point of the wall nearest to a spot: down the slope of the distance, by steps of that distance. */
export function wallFrom(a: Above, from: Spot): Spot {
  const s = { ...from };
  for (let i = 0; i < 24; i++) {
    const g = gapAt(a, s);
    if (Math.abs(g) < 0.02) break;
    const e = 0.05;
    let dx = (gapAt(a, { x: s.x + e, y: s.y }) - gapAt(a, { x: s.x - e, y: s.y })) / (2 * e);
    let dy = (gapAt(a, { x: s.x, y: s.y + e }) - gapAt(a, { x: s.x, y: s.y - e })) / (2 * e);
    const n = Math.hypot(dx, dy);
    if (n < 0.2) [dx, dy] = [0, -1]; // in the very middle every way is as long, or the shorter side is nearest
    else [dx, dy] = [dx / n, dy / n];
    s.x -= dx * g;
    s.y -= dy * g;
  }
  return s;
}

/** Equal shares of the plan for n wicks. */
export function equalShares(a: Above, n: number): Spot[] {
  const [hx, hy] = [a.long_mm / 2, a.across_mm / 2];
  if (n <= 1) return [{ x: 0, y: 0 }];
  if (n === 2 && a.outline === 'round') return [{ x: 0.5 * hx, y: 0 }, { x: -0.5 * hx, y: 0 }];
  if (a.outline === 'round' || (n === 3 && hy > 0.8 * hx)) {
    const ring = hy * (n === 3 ? 0.5 : 0.56);
    return Array.from({ length: n }, (_, i) => ({ x: ring * Math.cos((2 * Math.PI * i) / n), y: ring * Math.sin((2 * Math.PI * i) / n) }));
  }
  const rows = n >= 4 && hy > 0.6 * hx && n % 2 === 0 ? 2 : 1;
  const per = n / rows;
  return Array.from({ length: n }, (_, i) => ({
    x: (hx * (2 * (i % per) + 1 - per)) / per, y: rows === 1 ? 0 : hy * (i < per ? 0.5 : -0.5),
  }));
}

const mm = (x: number): string => String(Number(x.toFixed(1)) + 0);

/** Places as a form keeps them: "25,0;-25,0", empty for equal shares. */
export const writeSpots = (spots: Spot[]): string => spots.map((s) => `${mm(s.x)},${mm(s.y)}`).join(';');

export function readSpots(text: string | undefined, n: number): Spot[] | null {
  const spots = (text ?? '').split(';').filter(Boolean).map((t) => {
    const [x, y] = t.split(',').map(Number);
    return { x: x ?? NaN, y: y ?? NaN };
  });
  return n > 1 && spots.length === n && spots.every((s) => Number.isFinite(s.x) && Number.isFinite(s.y)) ? spots : null;
}

export const spotsForDoor = (spots: Spot[]): { x: string; y: string }[] => spots.map((s) => ({ x: `${mm(s.x)} mm`, y: `${mm(s.y)} mm` }));
