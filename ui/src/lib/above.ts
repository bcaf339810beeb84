// A vessel seen from above, in millimetres from its centre, x along the longer side: how far a point
// is from the wall, and where there. The same equations as the engine's (docs/physics, G12), here only
// for drawing while a wick is moved; the distances kept are the door's own.
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
export const gapAt = (a: Above, s: Spot): number => wallNear(a, s).gap;

/** The point of the wall nearest to a spot; of several the one to the right, or up. */
export const wallFrom = (a: Above, s: Spot): Spot => wallNear(a, s).at;

interface Near { gap: number; at: Spot }

/** By mirror images: the plan's quarter of x and y from 0 up is all there is to know. */
function wallNear(a: Above, s: Spot): Near {
  const { gap, at } = NEAR[a.outline](a, Math.abs(s.x), Math.abs(s.y));
  return { gap, at: { x: s.x < 0 ? -at.x : at.x, y: s.y < 0 ? -at.y : at.y } };
}

const NEAR: Record<Outline, (a: Above, x: number, y: number) => Near> = {
  round: ({ long_mm }, x, y) => {
    const [radius, off] = [long_mm / 2, Math.hypot(x, y)];
    return { gap: radius - off, at: off > 0 ? { x: (x / off) * radius, y: (y / off) * radius } : { x: 0, y: radius } };
  },
  rectangle: ({ long_mm, across_mm, corner_mm: r }, x, y) => {
    const [hx, hy] = [long_mm / 2, across_mm / 2];
    const [qx, qy] = [x - hx + r, y - hy + r];
    if (qx <= 0 || qy <= 0) return qx > qy ? { gap: hx - x, at: { x: hx, y } } : { gap: hy - y, at: { x, y: hy } };
    const off = Math.hypot(qx, qy);
    return { gap: r - off, at: { x: hx - r + (qx / off) * r, y: hy - r + (qy / off) * r } };
  },
  oval: ({ long_mm, across_mm }, x, y) => {
    const [a, b] = [long_mm / 2, across_mm / 2];
    const c2 = (a - b) * (a + b);
    if (y < 1e-12 && a * x <= c2) { // before the end's centre of curvature the nearest wall is beside
      const t = c2 > 0 ? (a * x) / c2 : 0;
      return { gap: c2 > 0 ? b * Math.sqrt(1 - (x * x) / c2) : b, at: { x: a * t, y: b * Math.sqrt(1 - t * t) } };
    }
    let s = Math.max(b * y, a * x - c2);
    for (let i = 0; i < 60; i++) {
      const [p, q] = [(a * x) / (s + c2), (b * y) / s];
      const step = (0.5 * (p * p + q * q - 1)) / ((p * p) / (s + c2) + (q * q) / s);
      s += step;
      if (!(step > 1e-9 * s)) break;
    }
    return { gap: (b * b - s) * Math.hypot(x / (s + c2), y / s), at: { x: (a * a * x) / (s + c2), y: (b * b * y) / s } };
  },
};

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
