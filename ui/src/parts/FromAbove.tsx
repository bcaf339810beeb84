// The vessel seen from above, to scale: its outline, where the wicks stand, how far from the wall and
// from each other. With `onMove` the wicks are dragged, or moved a millimetre by the arrow keys.
import { useRef } from 'preact/hooks';
import { useAnswer } from '../lib/live';
import { aboveAt, equalShares, gapAt, readSpots, wallFrom, writeSpots, type Above, type Spot } from '../lib/above';
import { problemAt, useFormState } from '../lib/form';
import { guess } from '../lib/guess';
import type { Container, Revision } from '../lib/types';
import { said } from '../lib/said';
import { num, show, typedUnits, unitOf } from '../lib/units';

interface FromAboveProps { above: Above; spots: Spot[]; wall_mm?: number; sides?: boolean; onMove?: (i: number, to: Spot) => void }

const WIDE = 260; // drawing units the longer side takes
const LEAST_MM = 1; // the door asks for this much between wick and wall

export function FromAbove({ above: a, spots, wall_mm = 3, sides, onMove }: FromAboveProps) {
  const svg = useRef<SVGSVGElement>(null);
  const held = useRef(-1); // the wick under the finger
  const k = WIDE / a.long_mm;
  const wall = Math.max(3, wall_mm * k);
  const [hx, hy] = [(a.long_mm / 2) * k, (a.across_mm / 2) * k];
  const [left, top] = [-hx - wall - (sides ? 44 : 6), -hy - wall - (sides ? 34 : 6)];
  const near = nearest(spots);
  const gaps = spots.map((s) => gapAt(a, s));
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
        {spots.map((s, i) => spots.slice(0, i).map((o, j) => (near[i]?.to === j || near[j]?.to === i) && (
          <Line key={`${i} ${j}`} a={s} b={o} k={k} text={num(Math.hypot(s.x - o.x, s.y - o.y), 'mm')} cls="above-apart" />
        )))}
        {spots.map((s, i) => <Line key={i} a={s} b={wallFrom(a, s)} k={k} text={num(gaps[i], 'mm')} cls="above-gap" />)}
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
      </svg>
      {spots.length > 1 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="Where the wicks stand, table">
          <table class="above-table">
            <thead><tr><th scope="col">wick</th><th scope="col">from the centre</th><th scope="col">to the wall</th><th scope="col">to the next</th></tr></thead>
            <tbody>{spots.map((s, i) => <tr key={i}><th scope="row">{i + 1}</th><td>{where(s)}</td><td>{show(gaps[i], 'mm')}</td><td>{show(near[i]?.mm, 'mm')}</td></tr>)}</tbody>
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

const nearest = (spots: Spot[]): { to: number; mm: number }[] => spots.map((s, i) => spots
  .map((o, j) => ({ to: j, mm: i === j ? Infinity : Math.hypot(s.x - o.x, s.y - o.y) }))
  .reduce((best, o) => (o.mm < best.mm - 1e-6 ? o : best), { to: -1, mm: Infinity }));

/** Outline grown by `by` drawing units. */
function shape(a: Above, k: number, by: number): string {
  const [hx, hy] = [(a.long_mm / 2) * k + by, (a.across_mm / 2) * k + by];
  const [rx, ry] = a.outline === 'rectangle' ? [cornerOf(a, k, by), cornerOf(a, k, by)] : [hx, hy];
  return `M${-hx + rx} ${-hy}H${hx - rx}A${rx} ${ry} 0 0 1 ${hx} ${-hy + ry}V${hy - ry}A${rx} ${ry} 0 0 1 ${hx - rx} ${hy}H${-hx + rx}A${rx} ${ry} 0 0 1 ${-hx} ${hy - ry}V${-hy + ry}A${rx} ${ry} 0 0 1 ${-hx + rx} ${-hy}Z`;
}

const cornerOf = (a: Above, k: number, by: number): number => Math.max(0.01, Math.min(a.corner_mm, a.across_mm / 2) * k + by);

function Line({ a, b, k, text, cls }: { a: Spot; b: Spot; k: number; text: string; cls: string }) {
  const [x, y] = [((a.x + b.x) / 2) * k, (-(a.y + b.y) / 2) * k];
  const level = Math.abs(a.x - b.x) >= Math.abs(a.y - b.y);
  return (
    <g class={cls} aria-hidden="true">
      <path d={`M${a.x * k} ${-a.y * k}L${b.x * k} ${-b.y * k}`} />
      <text x={level ? x : x + 5} y={level ? y - 5 : y + 5} text-anchor={level ? 'middle' : 'start'}>{text}</text>
    </g>
  );
}

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

/** On the form: where the wicks stand, equal shares until one of them is moved. */
export function PlaceWicks({ containers }: { containers: Container[] }) {
  const form = useFormState();
  const v = form.values;
  const n = Number(v.wick_count);
  const c = containers.find((o) => o.id === v.container);
  if (!Number.isInteger(n) || n < 2 || n > 6) return null;
  if (!c) return <p class="quiet">Choose the container, and its drawing from above appears here for placing the wicks.</p>;
  const bare = typedUnits('mm')[0]!;
  const typed = guess((v.level === 'fill_height' ? v.fill_height : v.headspace) ?? '', 'mm', bare);
  const height = v.level === 'fill_height' ? (typed ?? c.height_mm) : c.height_mm - (typed ?? 10);
  const above = aboveAt(c, Math.min(c.height_mm, Math.max(0, height)));
  const own = readSpots(v.places, n);
  const spots = own ?? equalShares(above, n);
  const problem = problemAt(form.problem, 'places');
  return (
    <div class="place-wicks">
      <h3>Where the wicks stand</h3>
      <p class="field-help">Seen from above at the fill line. {own ? 'Placed by hand.' : 'Equal shares of the wax, until you move one.'} Drag a wick, or choose it and use the arrow keys: {said('1 mm')} a step. Distances in {unitOf('mm')}.</p>
      {problem && <p class="field-problem">{problem}</p>}
      <FromAbove above={above} spots={spots} wall_mm={c.wall_mm}
        onMove={(i, to) => form.set({ places: writeSpots(spots.map((s, j) => (j === i ? to : s))) })} />
      <p class="actions"><button type="button" class="button small" disabled={!own} onClick={() => form.set({ places: '' })}>Equal shares</button></p>
    </div>
  );
}

/** On the recipe: the layout as it was kept, when there is more to see than one wick in a round jar. */
export function LayoutOf({ revision: r }: { revision: Revision }) {
  const container = useAnswer<Container>(r.wick_count > 1 ? `/api/containers/${r.container.id}` : null);
  const spots = r.places?.map((p) => ({ x: p.x_mm, y: p.y_mm }));
  if (!container.data || !spots || r.wick_count < 2) return null;
  return (
    <div class="place-wicks">
      <h3>From above</h3>
      <p class="quiet">At the fill line. {r.places_default ? 'The wicks take equal shares of the wax.' : 'The wicks were placed by hand.'} Least distance to the wall {show(r.wall_clearance_mm, 'mm')}, between wicks {show(r.wick_clearance_mm, 'mm')}.</p>
      <FromAbove above={aboveAt(container.data, r.fill_height_mm)} spots={spots} wall_mm={container.data.wall_mm} />
    </div>
  );
}
