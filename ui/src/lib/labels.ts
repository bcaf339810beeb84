// Where numbers stand in a drawing: each beside its own line, off the other lines, the dots and the
// numbers before it, as near to the middle of the line as that allows.
import type { Spot } from './above';

/** A line from `from` to `to` in drawing units, y down, and what is written beside it. */
export interface Stroke { from: Spot; to: Spot; text: string }

const DIGIT = 7.2; // width and height of a letter
const HALF_HIGH = 6;
const AIR = 2.5;
const ALONG = [0.5, 0.4, 0.6, 0.3, 0.7];

interface Box { x: number; y: number; w: number; h: number }

/** The middle of each text. `clear` is how much room a point has to the edge, negative beyond it. */
export function placeLabels(strokes: Stroke[], dots: Spot[], dot: number, clear: (p: Spot) => number): Spot[] {
  const boxes: Box[] = [];
  for (const own of strokes) {
    const others = strokes.filter((s) => s !== own);
    const harm = (b: Box): number => sum(dots, (d) => 3 * Math.max(0, dot + AIR - away(b, d))) + sum(others, (s) => (crosses(s, b) ? 12 : 0)) +
      sum(boxes, (o) => (Math.abs(o.x - b.x) < o.w + b.w && Math.abs(o.y - b.y) < o.h + b.h ? 30 : 0)) + sum(corners(b), (p) => 0.6 * Math.max(0, AIR - clear(p)));
    boxes.push(candidates(own, dots, dot).map(({ box, off }) => ({ box, harm: harm(box) + off })).reduce((a, b) => (b.harm < a.harm - 1e-9 ? b : a)).box);
  }
  return boxes.map(({ x, y }) => ({ x, y }));
}

/** Beside the part of the line that is seen between dots; above or to the right before below or to the left. */
function candidates({ from, to, text }: Stroke, dots: Spot[], dot: number): { box: Box; off: number }[] {
  const long = Math.hypot(to.x - from.x, to.y - from.y) || 1;
  const [ux, uy] = [(to.x - from.x) / long, (to.y - from.y) / long];
  const hidden = (p: Spot): number => (dots.some((d) => Math.hypot(d.x - p.x, d.y - p.y) < 1) ? Math.min(dot, long / 2) : 0);
  const [start, end] = [hidden(from), long - hidden(to)];
  const side = Math.abs(ux) > Math.abs(uy) ? (ux > 0 ? 1 : -1) : (uy < 0 ? -1 : 1);
  const [nx, ny] = [uy * side, -ux * side];
  const [w, h] = [(DIGIT * text.length) / 2, HALF_HIGH];
  const out = Math.abs(nx) * (w + AIR) + Math.abs(ny) * h + AIR;
  return ALONG.flatMap((t) => [1, -1].map((s) => {
    const at = start + t * (end - start);
    return { box: { x: from.x + ux * at + nx * out * s, y: from.y + uy * at + ny * out * s, w, h }, off: 8 * Math.abs(t - 0.5) + (s < 0 ? 1 : 0) };
  }));
}

const sum = <T>(list: T[], of: (x: T) => number): number => list.reduce((n, x) => n + of(x), 0);

const corners = ({ x, y, w, h }: Box): Spot[] => [{ x: x - w, y: y - h }, { x: x + w, y: y - h }, { x: x - w, y: y + h }, { x: x + w, y: y + h }];

const away = (b: Box, p: Spot): number => Math.hypot(Math.max(0, Math.abs(p.x - b.x) - b.w), Math.max(0, Math.abs(p.y - b.y) - b.h));

/** Whether a line runs through a box (Liang and Barsky 1984). */
function crosses({ from, to }: Stroke, b: Box): boolean {
  let [least, most] = [0, 1];
  for (const [at, by, mid, half] of [[from.x, to.x - from.x, b.x, b.w], [from.y, to.y - from.y, b.y, b.h]] as const) {
    if (Math.abs(by) < 1e-9) {
      if (Math.abs(at - mid) > half) return false;
      continue;
    }
    const [p, q] = [(mid - half - at) / by, (mid + half - at) / by];
    least = Math.max(least, Math.min(p, q));
    most = Math.min(most, Math.max(p, q));
  }
  return least <= most;
}
