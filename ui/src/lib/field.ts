// From the cells of a forecast frame to a picture: pixels of the wax, and the line where it is half molten.
import type { Cut, Frame } from './types';
import { waxColour } from './wax';

/** Cell value at (r, z) in mm by bilinear weights over cells that hold wax; null in the air. */
function sample(cut: Cut, frame: Frame, r: number, z: number): { T: number; melt: number } | null {
  const { nr, nz, dr_mm, dz_mm } = cut;
  const ci = Math.min(nr - 1, Math.floor(r / dr_mm));
  const cj = Math.min(nz - 1, Math.floor(z / dz_mm));
  const own = cj * nr + ci;
  if ((frame.T_C[own] ?? -1) < 0) return null;
  const x = r / dr_mm - 0.5;
  const y = z / dz_mm - 0.5;
  const i0 = Math.floor(x);
  const j0 = Math.floor(y);
  let T = 0;
  let melt = 0;
  let sum = 0;
  for (let dj = 0; dj <= 1; dj++) {
    for (let di = 0; di <= 1; di++) {
      const i = Math.min(nr - 1, Math.max(0, i0 + di));
      const j = Math.min(nz - 1, Math.max(0, j0 + dj));
      const k = j * nr + i;
      const Tk = frame.T_C[k] ?? -1;
      if (Tk < 0) continue;
      const w = (di ? x - i0 : 1 - x + i0) * (dj ? y - j0 : 1 - y + j0);
      T += w * Tk;
      melt += w * (frame.melt[k] ?? 0);
      sum += w;
    }
  }
  return sum > 1e-6 ? { T: T / sum, melt: melt / sum / 100 } : { T: frame.T_C[own]!, melt: (frame.melt[own] ?? 0) / 100 };
}

/** Inner radius at a height, straight between row centres. */
export function radiusAt(cut: Cut, z_mm: number): number {
  const y = Math.min(cut.nz - 1, Math.max(0, z_mm / cut.dz_mm - 0.5));
  const j = Math.floor(y);
  const a = cut.inner_radius_mm[j] ?? 0;
  const b = cut.inner_radius_mm[Math.min(cut.nz - 1, j + 1)] ?? a;
  return a + (b - a) * (y - j);
}

/** The cell, or beside a wall laid in steps the one further in: the wax goes to the glass. */
function sampleNear(cut: Cut, frame: Frame, r: number, z: number, edge: number): { T: number; melt: number } | null {
  const inner = Math.floor(r / cut.dr_mm) * cut.dr_mm - 1e-6; // where that one ends
  return sample(cut, frame, r, z) ?? (inner > Math.max(0, edge - 1.5 * cut.dr_mm) ? sample(cut, frame, inner, z) : null);
}

const FAINT = 64; // of 255: a half that only repeats the other one

/** Paint the whole section, mirrored about the axis, `px` pixels to the mm; the mirrored half faint where it is not what stands there. */
export function paintWax(canvas: HTMLCanvasElement, cut: Cut, frame: Frame, px: number): void {
  const rMax = Math.max(...cut.inner_radius_mm);
  const w = Math.max(2, Math.round(rMax * 2 * px));
  const h = Math.max(2, Math.round(cut.nz * cut.dz_mm * px));
  canvas.width = w;
  canvas.height = h;
  const ctx = canvas.getContext('2d');
  if (!ctx) return;
  const image = ctx.createImageData(w, h);
  const half = Math.ceil(w / 2);
  const left = cut.halves_alike === false ? FAINT : 255;
  for (let row = 0; row < h; row++) {
    const z = (h - row - 0.5) / px;
    const edge = radiusAt(cut, z);
    for (let c = 0; c < half; c++) {
      const r = (c + 0.5) / px;
      if (r > edge) break;
      const s = sampleNear(cut, frame, r, z, edge);
      if (!s || (z > frame.level_mm && s.melt > 0.5)) continue;
      const colour = waxColour(s.T, s.melt);
      put(image, row * w + Math.max(0, w - half - c - 1), colour, left);
      put(image, row * w + Math.min(w - 1, half + c), colour, 255);
    }
  }
  ctx.putImageData(image, 0, 0);
}

function put(image: ImageData, pixel: number, [r, g, b]: readonly [number, number, number], alpha: number): void {
  const k = pixel * 4;
  image.data[k] = r;
  image.data[k + 1] = g;
  image.data[k + 2] = b;
  image.data[k + 3] = alpha;
}

// A slurry with a seventh of it still solid is white: what is seen and measured as pool ends there (CLEAR in src/burn/pool_shape.c).
const CLEAR_PCT = 85;

/** The edge of the pool as a maker reads it, by marching squares, in (r, z) mm, as an SVG path with z upward negative. */
export function meltLine(cut: Cut, frame: Frame): string {
  const { nr, nz, dr_mm, dz_mm } = cut;
  const at = (i: number, j: number): number | null => {
    const k = j * nr + i;
    return (frame.T_C[k] ?? -1) < 0 ? null : (frame.melt[k] ?? 0) - CLEAR_PCT;
  };
  const out: string[] = [];
  const point = (i: number, j: number, di: number, dj: number, a: number, b: number): string => {
    const t = a / (a - b);
    return `${((i + 0.5 + di * t) * dr_mm).toFixed(2)} ${(-(j + 0.5 + dj * t) * dz_mm).toFixed(2)}`;
  };
  for (let j = 0; j < nz - 1; j++) {
    // level over the axis, half a cell from there to the middle of the innermost
    const [low, high] = [at(0, j), at(0, j + 1)];
    if (low !== null && high !== null && low > 0 !== high > 0) {
      const z = (-(j + 0.5 + low / (low - high)) * dz_mm).toFixed(2);
      out.push(`M0 ${z}L${(0.5 * dr_mm).toFixed(2)} ${z}`);
    }
    for (let i = 0; i < nr - 1; i++) {
      const a = at(i, j);
      const b = at(i + 1, j);
      const c = at(i + 1, j + 1);
      const d = at(i, j + 1);
      if (a === null || b === null || c === null || d === null) continue;
      const cross: string[] = [];
      if (a > 0 !== b > 0) cross.push(point(i, j, 1, 0, a, b));
      if (b > 0 !== c > 0) cross.push(point(i + 1, j, 0, 1, b, c));
      if (d > 0 !== c > 0) cross.push(point(i, j + 1, 1, 0, d, c));
      if (a > 0 !== d > 0) cross.push(point(i, j, 0, 1, a, d));
      for (let n = 0; n + 1 < cross.length; n += 2) out.push(`M${cross[n]}L${cross[n + 1]}`);
    }
  }
  return out.join('');
}
