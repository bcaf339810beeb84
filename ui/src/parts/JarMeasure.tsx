// What to measure on the jar: a section with its dimension lines, drawn from what has been typed so
// far. The line of the field in hand is heavier.

export interface Station { height_mm: number; inner_mm: number }
interface MeasureProps { stations: Station[]; wall_mm: number; base_mm: number; water_mm: number | null; held: string }

const EXAMPLE: Station[] = [{ height_mm: 0, inner_mm: 72 }, { height_mm: 88, inner_mm: 72 }];

export function JarMeasure({ stations, wall_mm, base_mm, water_mm, held }: MeasureProps) {
  const known = stations.length >= 2;
  const s = known ? stations : EXAMPLE;
  const H = Math.max(...s.map((p) => p.height_mm), 1);
  const D = Math.max(...s.map((p) => p.inner_mm), 1);
  const k = 150 / Math.max(H, D);
  const wall = Math.max(wall_mm * k, 4);
  const base = Math.max(base_mm * k, 5);
  const R = (D / 2) * k;
  const x = (p: Station) => (p.inner_mm / 2) * k;
  const y = (h: number) => -h * k;
  const up = [...s].reverse();
  const side = (list: Station[], sign: number, w: number) => list.map((p) => `${sign * (x(p) + w)} ${y(p.height_mm)}`);
  const foot = x(s[0]!) + wall;
  const glass = `M${[...side(up, -1, 0), ...side(s, 1, 0), ...side(up, 1, wall), `${foot} ${base}`, `${-foot} ${base}`, ...side(s, -1, wall)].join('L')}Z`;
  const top = y(H);
  const on = (name: string) => (held === name || held.startsWith(`${name}.`) ? 'dim on' : 'dim');
  return (
    <figure class="measure">
      <svg viewBox={`${-R - wall - 66} ${top - 34} ${2 * (R + wall) + 132} ${H * k + base + 66}`} role="img"
        aria-label="Section of a jar. A is the inner diameter, B the height from the inner floor to the brim, C the wall, D the base.">
        {water_mm !== null && <path class="measure-water" d={waterPath(s, Math.min(water_mm, H), k)} />}
        <path d={glass} class="measure-glass" />
        <Across cls={on('inner_diameter')} x0={-x(s[s.length - 1]!)} x1={x(s[s.length - 1]!)} y={top - 12} letter="A" />
        {s.length > 2 || (known && s[0]!.inner_mm !== s[1]!.inner_mm)
          ? s.map((p, i) => <Across key={i} cls={on(`profile.${i}`)} x0={-x(p)} x1={x(p)} y={y(p.height_mm) - (i === 0 ? 6 : 0)} letter={i === s.length - 1 ? '' : `A${i + 1}`} />)
          : null}
        <Upright cls={on('height')} x={-R - wall - 26} y0={0} y1={top} letter="B" />
        <g class={on('wall')}>
          <path d={`M${R + wall + 30} ${top * 0.55}H${R + wall + 2}`} class="dim-line" marker-end="url(#dim-end)" />
          <path d={`M${R - 22} ${top * 0.55}H${R - 2}`} class="dim-line" marker-end="url(#dim-end)" />
          <text x={R + wall + 36} y={top * 0.55 + 4}>C</text>
        </g>
        <g class={on('base')}>
          <path d={`M0 ${base + 24}V${base + 2}`} class="dim-line" marker-end="url(#dim-end)" />
          <path d="M0 -20V-2" class="dim-line" marker-end="url(#dim-end)" />
          <text x="8" y={base + 20}>D</text>
        </g>
        <defs>
          <marker id="dim-end" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto-start-reverse">
            <path d="M0 1L7 4L0 7z" class="dim-arrow" />
          </marker>
        </defs>
      </svg>
      <figcaption>
        <b>A</b> inside, brim to brim. <b>B</b> from the inner floor to the brim. <b>C</b> wall. <b>D</b> base.
        Measure inside: the outside of a thick jar misleads by millimetres.
      </figcaption>
    </figure>
  );
}

function Across({ cls, x0, x1, y, letter }: { cls: string; x0: number; x1: number; y: number; letter: string }) {
  return (
    <g class={cls}>
      <path d={`M${x0 + 1} ${y}H${x1 - 1}`} class="dim-line" marker-start="url(#dim-end)" marker-end="url(#dim-end)" />
      {letter && <text x={(x0 + x1) / 2} y={y - 5} text-anchor="middle">{letter}</text>}
    </g>
  );
}

function Upright({ cls, x, y0, y1, letter }: { cls: string; x: number; y0: number; y1: number; letter: string }) {
  return (
    <g class={cls}>
      <path d={`M${x} ${y0 - 1}V${y1 + 1}`} class="dim-line" marker-start="url(#dim-end)" marker-end="url(#dim-end)" />
      <text x={x - 14} y={(y0 + y1) / 2 + 4}>{letter}</text>
    </g>
  );
}

function waterPath(s: Station[], h: number, k: number): string {
  const below = s.filter((p) => p.height_mm < h);
  const i = s.findIndex((p) => p.height_mm >= h);
  const [a, b] = [s[Math.max(0, i - 1)]!, s[i < 0 ? s.length - 1 : i]!];
  const t = b.height_mm === a.height_mm ? 1 : (h - a.height_mm) / (b.height_mm - a.height_mm);
  const r = ((a.inner_mm + (b.inner_mm - a.inner_mm) * t) / 2) * k;
  const right = [...below.map((p) => `${(p.inner_mm / 2) * k} ${-p.height_mm * k}`), `${r} ${-h * k}`];
  const left = [...right].reverse().map((p) => `-${p}`);
  return `M${right.join('L')}L${left.join('L')}Z`;
}
