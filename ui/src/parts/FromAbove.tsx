// The vessel seen from above, to scale: its outline, where the wicks stand, how far from the wall and
// from each other. With `onMove` the wicks are dragged, or moved a millimetre by the arrow keys.
import { useRef } from 'preact/hooks';
import { useAnswer } from '../lib/live';
import { aboveAt, gapAt, readSpots, wallFrom, writeSpots, type Above, type Spot } from '../lib/above';
import { Away } from '../lib/api';
import { bare, problemAt, useFormState, type Values } from '../lib/form';
import { guess } from '../lib/guess';
import type { Container, Revision } from '../lib/types';
import { placeLabels, type Stroke } from '../lib/labels';
import { said } from '../lib/said';
import { spotsOf, useEqualShares, type EqualShares } from '../lib/shares';
import { num, show, typedUnits, unitOf } from '../lib/units';

interface FromAboveProps { above: Above; spots: Spot[]; wall_mm?: number; sides?: boolean; onMove?: (i: number, to: Spot) => void }

const WIDE = 260; // drawing units the longer side takes
const LEAST_MM = 1; // a wick under the finger comes no nearer to the wall; what the door asks for it says itself
const SAME_MM = 0.05;
const DOT = 11;

export function FromAbove({ above: a, spots, wall_mm = 3, sides, onMove }: FromAboveProps) {
  const svg = useRef<SVGSVGElement>(null);
  const held = useRef(-1); // the wick under the finger
  const k = WIDE / a.long_mm;
  const wall = Math.max(3, wall_mm * k);
  const [hx, hy] = [(a.long_mm / 2) * k, (a.across_mm / 2) * k];
  const [left, top] = [-hx - wall - (sides ? 44 : 6), -hy - wall - (sides ? 34 : 6)];
  const gaps = spots.map((s) => gapAt(a, s));
  const near = spots.map((s) => Math.min(...spots.map((o) => (o === s ? Infinity : apart(s, o)))));
  const lines = linesOf(a, spots, gaps, near, k);
  const labels = placeLabels(lines, spots.map((s) => drawnAt(s, k)), DOT, ({ x, y }) => gapAt(a, { x: x / k, y: -y / k }) * k);
  const move = (i: number, to: Spot) => {
    const whole = { x: Math.round(to.x), y: Math.round(to.y) };
    if (gapAt(a, whole) > LEAST_MM) onMove?.(i, whole);
  };
  const drag = (e: PointerEvent, i: number) => {
    const box = svg.current?.getScreenCTM()?.inverse();
    if (!box || held.current !== i) return;
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(box);
    move(i, { x: p.x / k, y: -p.y / k });
  };
  const keys = (e: KeyboardEvent, i: number) => {
    const step = STEPS[e.key];
    if (!step) return;
    e.preventDefault();
    move(i, { x: Math.round(spots[i]!.x) + step.x, y: Math.round(spots[i]!.y) + step.y });
  };
  return (
    <figure class="above">
      <svg ref={svg} viewBox={`${left} ${top} ${-left + hx + wall + 6} ${-top + hy + wall + 6}`} role={onMove ? 'group' : 'img'} aria-label={sayAbove(a, spots)}>
        <path class="measure-glass" fill-rule="evenodd" d={shape(a, k, wall) + shape(a, k, 0)} />
        <path class="above-wax" d={shape(a, k, 0)} />
        {sides && <Sides above={a} hx={hx} hy={hy} wall={wall} k={k} />}
        {lines.map((l, i) => <path key={i} class={l.cls} aria-hidden="true" d={`M${l.from.x} ${l.from.y}L${l.to.x} ${l.to.y}`} />)}
        {spots.map((s, i) => (
          <g key={i} class={onMove ? 'above-wick can' : 'above-wick'} transform={`translate(${s.x * k} ${-s.y * k})`}
            {...(onMove ? {
              tabindex: 0, role: 'button', 'aria-label': `Wick ${i + 1}, ${where(s)}. Arrow keys move it by ${said('1 mm')}.`,
              onKeyDown: (e: KeyboardEvent) => keys(e, i),
              onPointerDown: (e: PointerEvent) => { (e.currentTarget as Element).setPointerCapture(e.pointerId); held.current = i; },
              onPointerMove: (e: PointerEvent) => drag(e, i), onPointerUp: () => void (held.current = -1), onPointerCancel: () => void (held.current = -1),
            } : {})}>
            {onMove && <circle class="above-grip" r="22" />}
            <circle class="above-dot" r="9" />
            <text class="above-number" y="4.5" text-anchor="middle">{i + 1}</text>
          </g>
        ))}
        {lines.map((l, i) => <text key={i} class={`above-mm ${l.cls}`} aria-hidden="true" x={labels[i]!.x} y={labels[i]!.y + 4.5} text-anchor="middle">{l.text}</text>)}
      </svg>
      {spots.length > 1 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="Where the wicks stand, table">
          <table class="above-table">
            <thead><tr><th scope="col">wick</th><th scope="col">from the centre</th><th scope="col">to the wall</th><th scope="col">to the next</th></tr></thead>
            <tbody>{spots.map((s, i) => <tr key={i}><th scope="row">{i + 1}</th><td>{where(s)}</td><td>{show(gaps[i], 'mm')}</td><td>{show(near[i], 'mm')}</td></tr>)}</tbody>
          </table>
        </div>
      )}
    </figure>
  );
}

const STEPS: Record<string, Spot | undefined> = {
  ArrowLeft: { x: -1, y: 0 }, ArrowRight: { x: 1, y: 0 }, ArrowUp: { x: 0, y: 1 }, ArrowDown: { x: 0, y: -1 },
};

/** "25 mm right, 3 mm up", or "in the middle". */
function where(s: Spot): string {
  const said: string[] = [];
  if (Math.abs(s.x) >= 0.05) said.push(`${show(Math.abs(s.x), 'mm')} ${s.x > 0 ? 'right' : 'left'}`);
  if (Math.abs(s.y) >= 0.05) said.push(`${show(Math.abs(s.y), 'mm')} ${s.y > 0 ? 'up' : 'down'}`);
  return said.join(', ') || 'in the middle';
}

function sayAbove(a: Above, spots: Spot[]): string {
  const size = a.outline === 'round' ? show(a.long_mm, 'mm') : `${show(a.long_mm, 'mm')} by ${show(a.across_mm, 'mm')}`;
  const wicks = spots.length > 1 ? ` ${spots.map((s, i) => `Wick ${i + 1} ${where(s)}`).join('; ')}.` : '';
  return `From above: ${a.outline}, ${size} inside.${wicks}`;
}

const apart = (a: Spot, b: Spot): number => Math.hypot(a.x - b.x, a.y - b.y);
const drawnAt = (s: Spot, k: number): Spot => ({ x: s.x * k, y: -s.y * k });

/** From every wick to the next, to each of several as near, and to the wall. */
function linesOf(a: Above, spots: Spot[], gaps: number[], near: number[], k: number): (Stroke & { cls: string })[] {
  const line = (cls: string, from: Spot, to: Spot, mm: number) => ({ cls, from: drawnAt(from, k), to: drawnAt(to, k), text: num(mm, 'mm') });
  const between = spots.flatMap((s, i) => spots.slice(0, i).flatMap((o, j) => {
    const mm = apart(s, o);
    return mm < Math.max(near[i]!, near[j]!) + SAME_MM ? [line('above-apart', s, o, mm)] : [];
  }));
  return [...between, ...spots.map((s, i) => line('above-gap', s, wallFrom(a, s), gaps[i]!))];
}

/** Outline grown by `by` drawing units. */
function shape(a: Above, k: number, by: number): string {
  const [hx, hy] = [(a.long_mm / 2) * k + by, (a.across_mm / 2) * k + by];
  const [rx, ry] = a.outline === 'rectangle' ? [cornerOf(a, k, by), cornerOf(a, k, by)] : [hx, hy];
  return `M${-hx + rx} ${-hy}H${hx - rx}A${rx} ${ry} 0 0 1 ${hx} ${-hy + ry}V${hy - ry}A${rx} ${ry} 0 0 1 ${hx - rx} ${hy}H${-hx + rx}A${rx} ${ry} 0 0 1 ${-hx} ${hy - ry}V${-hy + ry}A${rx} ${ry} 0 0 1 ${-hx + rx} ${-hy}Z`;
}

const cornerOf = (a: Above, k: number, by: number): number => Math.max(0.01, Math.min(a.corner_mm, a.across_mm / 2) * k + by);

/** The sides as letters, as in the section: A the longer, E across, F the corner. */
function Sides({ above: a, hx, hy, wall, k }: { above: Above; hx: number; hy: number; wall: number; k: number }) {
  const r = Math.min(a.corner_mm, a.across_mm / 2) * k;
  return (
    <g class="dim" aria-hidden="true">
      <path class="dim-line" d={`M${-hx} ${-hy - wall - 10}H${hx}M${-hx} ${-hy - wall - 15}v10M${hx} ${-hy - wall - 15}v10`} />
      <text x="0" y={-hy - wall - 15} text-anchor="middle">A {num(a.long_mm, 'mm')}</text>
      <path class="dim-line" d={`M${-hx - wall - 10} ${-hy}V${hy}M${-hx - wall - 15} ${-hy}h10M${-hx - wall - 15} ${hy}h10`} />
      <text transform={`translate(${-hx - wall - 18} 0) rotate(-90)`} text-anchor="middle">E {num(a.across_mm, 'mm')}</text>
      {a.outline === 'rectangle' && r > 2 && (
        <>
          <path class="dim-line" d={`M${hx - r} ${hy - r}L${hx - r * 0.293} ${hy - r * 0.293}`} />
          <text x={hx - r - 6} y={hy - r} text-anchor="end">F {num(a.corner_mm, 'mm')}</text>
        </>
      )}
    </g>
  );
}

/** Instead of wicks that are not drawn yet. */
export function SharesUnknown({ equal }: { equal: EqualShares }) {
  const text = equal.error instanceof Away ? 'Where equal shares put the wicks is told by the workshop computer, which does not answer now.'
    : equal.error ? bare(equal.error.message) : 'Asking where equal shares put the wicks…';
  return <p class="quiet" role="status">{text}</p>;
}

/** On the form: where the wicks stand, equal shares until one of them is moved. */
export function PlaceWicks({ containers }: { containers: Container[] }) {
  const form = useFormState();
  const v = form.values;
  const n = Number(v.wick_count);
  const several = Number.isInteger(n) && n >= 2 && n <= 6;
  const c = containers.find((o) => o.id === v.container) ?? null;
  const height = c ? fillOf(v, c) : 0;
  const above = c && aboveAt(c, height);
  const own = several ? readSpots(v.places, n) : null;
  const equal = useEqualShares(c, several ? n : 0, height, above);
  if (!several) return null;
  if (!c || !above) return <p class="quiet">Choose the container, and its drawing from above appears here for placing the wicks.</p>;
  const spots = own ?? equal.spots;
  const problem = problemAt(form.problem, 'places') || (!own && equal.problem ? bare(equal.problem) : '');
  return (
    <div class="place-wicks">
      <h3>Where the wicks stand</h3>
      <p class="field-help">Seen from above at the fill line. {own ? 'Placed by hand.' : 'Equal shares of the wax, until you move one.'} Drag a wick, or choose it and use the arrow keys: {said('1 mm')} a step. Distances in{'\u00a0'}{unitOf('mm')}.</p>
      {problem && <p class="field-problem">{problem}</p>}
      {!spots && <SharesUnknown equal={equal} />}
      <FromAbove above={above} spots={spots ?? []} wall_mm={c.wall_mm}
        onMove={(i, to) => spots && form.set({ places: writeSpots(spots.map((s, j) => (j === i ? to : s))) })} />
      <p class="actions"><button type="button" class="button small" disabled={!own} onClick={() => form.set({ places: '' })}>Equal shares</button></p>
    </div>
  );
}

/** The fill height as far as it is typed, inside the container. */
function fillOf(v: Values, c: Container): number {
  const typed = guess((v.level === 'fill_height' ? v.fill_height : v.headspace) ?? '', 'mm', typedUnits('mm')[0]!);
  const height = v.level === 'fill_height' ? (typed ?? c.height_mm) : c.height_mm - (typed ?? 10);
  return Math.min(c.height_mm, Math.max(0, height));
}

/** On the recipe: the layout as it was kept, when there is more to see than one wick in a round jar. */
export function LayoutOf({ revision: r }: { revision: Revision }) {
  const container = useAnswer<Container>(r.wick_count > 1 ? `/api/containers/${r.container.id}` : null);
  const spots = r.places && spotsOf(r.places);
  if (!container.data || !spots || r.wick_count < 2) return null;
  return (
    <div class="place-wicks">
      <h3>From above</h3>
      <p class="quiet">At the fill line. {r.places_default ? 'The wicks take equal shares of the wax.' : 'The wicks were placed by hand.'} Least distance to the wall {show(r.wall_clearance_mm, 'mm')}, between wicks {show(r.wick_clearance_mm, 'mm')}.</p>
      <FromAbove above={aboveAt(container.data, r.fill_height_mm)} spots={spots} wall_mm={container.data.wall_mm} />
    </div>
  );
}
