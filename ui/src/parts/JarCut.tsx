// The jar cut open: glass, wax by melt and temperature, level, wick and flame, drawn to scale in mm.
import { useEffect, useRef } from 'preact/hooks';
import { meltLine, paintWax, radiusAt } from '../lib/field';
import type { Cut, Frame } from '../lib/types';
import { inShown, getSystem, show } from '../lib/units';
import { LEGEND_C, liquidCss } from '../lib/wax';

export interface Box { left: number; right: number; top: number; bottom: number; rIn: number }

interface JarCutProps {
  cut: Cut; frame: Frame; wallC: number | null; wallAt: number | null; label: string;
  /** Drawn small beside others: one box for all of them, so that they share a scale; no ruler, no letters. */
  box?: Box;
}

/** Room for the tallest flame of the whole life, so that the jar stays put while time runs. */
function boxOf(cut: Cut): Box {
  const rIn = Math.max(...cut.inner_radius_mm);
  const side = rIn + cut.wall_mm;
  return { left: -side - 22, right: side + 22, top: -(Math.max(cut.height_mm, tipOf(cut)) + 9), bottom: cut.base_mm + 7, rIn };
}

const tipOf = (cut: Cut): number => Math.max(0, ...cut.frames.map((f) => f.level_mm + f.exposed_mm + f.flame_mm));

/** One box for several cuts; it grows by steps, so that a drag does not make the drawing tremble. */
export function boxOfAll(cuts: Cut[]): Box {
  const step = (x: number) => Math.ceil(x / 5) * 5;
  const rIn = Math.max(...cuts.map((c) => Math.max(...c.inner_radius_mm)));
  const side = step(Math.max(...cuts.map((c) => Math.max(...c.inner_radius_mm) + c.wall_mm))) + 6;
  const up = step(Math.max(...cuts.map((c) => Math.max(c.height_mm, tipOf(c)))) + 2);
  return { left: -side, right: side, top: -up, bottom: Math.max(...cuts.map((c) => c.base_mm)) + 3, rIn };
}

export function JarCut({ cut, frame, wallC, wallAt, label, box: shared }: JarCutProps) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const box = shared ?? boxOf(cut);
  const rIn = Math.max(...cut.inner_radius_mm);
  const w = box.right - box.left;
  const h = box.bottom - box.top;
  useEffect(() => {
    if (canvas.current) paintWax(canvas.current, cut, frame, Math.min(6, (shared ? 300 : 460) / (2 * rIn)));
  }, [cut, frame, rIn, Boolean(shared)]);
  const top = cut.nz * cut.dz_mm;
  const pct = (x: number, of: number) => `${((100 * x) / of).toFixed(3)}%`;
  return (
    <div class={shared ? 'jar small' : 'jar'} role="img" aria-label={label} style={{ aspectRatio: `${w} / ${h}` }}>
      <svg viewBox={`${box.left} ${box.top} ${w} ${h}`} class="jar-back" aria-hidden="true"><Glow cut={cut} frame={frame} room={box.right} /></svg>
      <canvas ref={canvas} class="jar-wax" style={{
        left: pct(-rIn - box.left, w), width: pct(2 * rIn, w), top: pct(-top - box.top, h), height: pct(top, h),
      }} />
      <svg viewBox={`${box.left} ${box.top} ${w} ${h}`} class="jar-front" aria-hidden="true">
        <Melt cut={cut} frame={frame} />
        <Glass cut={cut} />
        {!alike(cut) && <line x1="0" x2="0" y1={cut.base_mm} y2={-cut.height_mm} class="jar-axis" />}
        {wickPlaces(cut).map((x) => <g key={x} class="jar-candle" transform={`translate(${x} 0)`}><Wick frame={frame} /></g>)}
        {!shared && <Scale cut={cut} x={box.rIn + cut.wall_mm + 5} />}
        {wallC !== null && wallAt !== null && <WallMark cut={cut} at={wallAt} T={shared ? null : wallC} />}
      </svg>
    </div>
  );
}

function Glow({ cut, frame, room }: { cut: Cut; frame: Frame; room: number }) {
  if (!frame.lit || frame.flame_mm < 1) return null;
  const y = -(frame.level_mm + frame.exposed_mm + frame.flame_mm * 0.4);
  const rIn = Math.max(...cut.inner_radius_mm);
  return (
    <>
      <defs>
        <radialGradient id="glow">
          <stop offset="0" stop-color="#ffcf6b" stop-opacity="0.55" />
          <stop offset="1" stop-color="#ffcf6b" stop-opacity="0" />
        </radialGradient>
      </defs>
      {wickPlaces(cut).map((x) => <circle key={x} cx={x} cy={y} r={Math.min(rIn * 0.95, room - Math.abs(x))} fill="url(#glow)" class="jar-glow" />)}
    </>
  );
}

function Melt({ cut, frame }: { cut: Cut; frame: Frame }) {
  const d = meltLine(cut, frame);
  return (
    <>
      <path d={d} class="jar-melt" />
      {alike(cut) && <path d={d} class="jar-melt" transform="scale(-1 1)" />}
      <line x1={-radiusAt(cut, cut.fill_mm)} x2={-radiusAt(cut, cut.fill_mm) + 5} y1={-cut.fill_mm} y2={-cut.fill_mm} class="jar-fill" />
    </>
  );
}

function Glass({ cut }: { cut: Cut }) {
  const rows = Array.from({ length: 25 }, (_, k) => (cut.height_mm * k) / 24);
  const at = (z: number, side: number, wall: number) => `${(side * (radiusAt(cut, z) + wall)).toFixed(2)} ${(-z).toFixed(2)}`;
  const up = [...rows].reverse();
  const inner = [...up.map((z) => at(z, -1, 0)), ...rows.map((z) => at(z, 1, 0))];
  const outer = [...up.map((z) => at(z, 1, cut.wall_mm)), `${(radiusAt(cut, 0) + cut.wall_mm).toFixed(2)} ${cut.base_mm}`,
    `${(-radiusAt(cut, 0) - cut.wall_mm).toFixed(2)} ${cut.base_mm}`, ...rows.map((z) => at(z, -1, cut.wall_mm))];
  return <path d={`M${inner.join('L')}L${outer.join('L')}Z`} class="jar-glass" />;
}

/** Where the half shown stands for the other one too. */
const alike = (cut: Cut): boolean => cut.halves_alike !== false;

/** The wicks the cut runs through, left to right. */
function wickPlaces(cut: Cut): number[] {
  const right = cut.wicks_at_mm ?? [0];
  return alike(cut) ? [...right.filter((x) => x > 0).map((x) => -x).reverse(), ...right] : right;
}

/** What the drawing leaves out of a candle of several wicks, or of one beside the centre; '' = nothing. */
export function cutNote(cut: Cut): string {
  const n = wickPlaces(cut).length;
  const all = cut.wicks ?? 1;
  const through = all === 1 ? 'the wick' : `${n} of the ${all} wicks`;
  if (!alike(cut)) return `Cut open from the centre through ${through}, on the right. The faint half is its mirror image: on that side it looks different.`;
  return n < all ? `Cut open through ${through}.` : '';
}

/** A flame as tall as forecast, a third as wide, blue at its foot. */
function Wick({ frame }: { frame: Frame }) {
  const foot = -frame.level_mm;
  const tip = foot - Math.max(frame.exposed_mm, 0.5);
  const f = frame.flame_mm;
  const w = Math.min(7, Math.max(1.4, f * 0.19));
  const base = foot - frame.exposed_mm * 0.45;
  const lit = Boolean(frame.lit) && f > 0.5;
  return (
    <>
      {lit && (
        <g class="jar-flame">
          <path class="flame-body" d={`M0 ${base - f}C${w * 0.55} ${base - f * 0.62} ${w} ${base - f * 0.42} ${w} ${base - f * 0.22}C${w} ${base} ${-w} ${base} ${-w} ${base - f * 0.22}C${-w} ${base - f * 0.42} ${-w * 0.55} ${base - f * 0.62} 0 ${base - f}Z`} />
          <path class="flame-heart" d={`M0 ${base - f * 0.78}C${w * 0.35} ${base - f * 0.5} ${w * 0.6} ${base - f * 0.34} ${w * 0.6} ${base - f * 0.2}C${w * 0.6} ${base - f * 0.04} ${-w * 0.6} ${base - f * 0.04} ${-w * 0.6} ${base - f * 0.2}C${-w * 0.6} ${base - f * 0.34} ${-w * 0.35} ${base - f * 0.5} 0 ${base - f * 0.78}Z`} />
          <path class="flame-foot" d={`M${-w * 0.86} ${base - f * 0.15}C${-w * 0.7} ${base + f * 0.01} ${w * 0.7} ${base + f * 0.01} ${w * 0.86} ${base - f * 0.15}C${w * 0.4} ${base - f * 0.08} ${-w * 0.4} ${base - f * 0.08} ${-w * 0.86} ${base - f * 0.15}Z`} />
        </g>
      )}
      <line x1="0" y1="-0.6" x2="0" y2={foot} class="jar-wick under" />
      <line x1="0" y1={foot} x2="0" y2={tip} class={lit ? 'jar-wick burnt' : 'jar-wick'} />
      <rect x="-5" y="-0.9" width="10" height="0.9" class="jar-tab" />
    </>
  );
}

/** Heights above the inner floor, every 10 mm or half inch. */
function Scale({ cut, x }: { cut: Cut; x: number }) {
  const us = getSystem() === 'us';
  const step = us ? 12.7 : 10;
  const marks = Array.from({ length: Math.floor(cut.height_mm / step) + 1 }, (_, k) => k * step);
  return (
    <g class="jar-scale">
      <line x1={x} x2={x} y1="0" y2={-cut.height_mm} />
      {marks.map((z, k) => (
        <g key={z}>
          <line x1={x} x2={x + (k % 2 ? 1.6 : 3)} y1={-z} y2={-z} />
          {k % 2 === 0 && <text x={x + 4.2} y={-z + 1.5}>{us ? inShown(z, 'mm').toFixed(0) : z}</text>}
        </g>
      ))}
      <text x={x + 4.2} y={-cut.height_mm - 3.4}>{us ? 'in' : 'mm'}</text>
    </g>
  );
}

function WallMark({ cut, at, T }: { cut: Cut; at: number; T: number | null }) {
  const x = -(radiusAt(cut, at) + cut.wall_mm);
  return (
    <g class="jar-wallmark">
      <path d={`M${x - 0.6} ${-at}l-4 -2.400v4.800z`} />
      {T !== null && <text x={x - 5.8} y={-at + 1.6} text-anchor="end">{show(T, 'C')}</text>}
    </g>
  );
}

export function WaxLegend() {
  return (
    <p class="legend" aria-label="Colours of the drawing">
      <span class="legend-item"><span class="swatch solid" aria-hidden="true" />solid wax</span>
      <span class="legend-ramp">
        <span>molten</span>
        {LEGEND_C.map((T) => (
          <span key={T} class="legend-item"><span class="swatch" aria-hidden="true" style={{ background: liquidCss(T) }} />{show(T, 'C')}</span>
        ))}
      </span>
    </p>
  );
}
