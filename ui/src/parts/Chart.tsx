// A small chart of one quantity over burn sessions: forecast band, its middle, what was measured,
// the limit; with the same numbers as a table below. Lines differ by dash and mark, not by colour alone.
import { num, show, unitOf, inShown, type Kind } from '../lib/units';
import { useWidth } from '../lib/width';
import { Worded } from './Term';

export interface Point { x: number; y: number; label: string }
export interface ChartProps {
  title: string;
  kind: Kind;
  xLabel: string;
  xs: number[];
  line?: (number | null)[];
  lineName?: string;
  band?: { lo: number; mid: number; hi: number }[] | undefined;
  points?: Point[];
  limit?: { value: number; name: string } | undefined;
  at?: number | null;
  height?: number;
  /** Values the axis must hold besides its own: charts side by side share them. */
  hold?: (number | null)[];
  /** The points are of one thing and joined in their order. */
  joined?: boolean;
  /** The limit's line without its name, where there is no room for it. */
  quietLimit?: boolean;
}

const PAD = { left: 46, right: 14, top: 12, bottom: 30 };

/** About four round steps from nought (or near the data) to past the highest. */
export function ticks(lo: number, hi: number): number[] {
  const spread = hi - lo || Math.abs(hi) || 1;
  const raw = spread / 4;
  const ten = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10].map((m) => m * ten).find((s) => s >= raw)!;
  const first = Math.floor(lo / step + 1e-9) * step;
  const out: number[] = [];
  for (let t = first; ; t += step) {
    out.push(Number(t.toPrecision(12)));
    if (t >= hi - 1e-9 * step || out.length > 12) break;
  }
  return out;
}

export function Chart(props: ChartProps) {
  const { title, kind, xs, line, band, points = [], limit, height = 190 } = props;
  const { ref, width } = useWidth<HTMLDivElement>(320);
  const conv = (v: number) => inShown(v, kind);
  const all = [
    ...(line ?? []), ...(props.hold ?? []), ...(band ?? []).flatMap((b) => [b.lo, b.hi]), ...points.map((p) => p.y),
  ].filter((v): v is number => v !== null && Number.isFinite(v)).map(conv);
  if (!all.length) return <figure class="chart"><figcaption>{title}</figcaption><p class="quiet">Nothing to draw yet.</p></figure>;
  const top = Math.max(...all);
  const near = limit ? conv(limit.value) : null;
  const showLimit = near !== null && near < top * 1.8 + 1;
  const zero = kind === 'C' ? Math.min(...all) : 0;
  const yt = ticks(Math.min(zero, ...all), showLimit ? Math.max(top, near) : top);
  const most = kind === 'pct' && top <= 100 ? 100 : Infinity;
  const [y0, y1] = [yt[0]!, Math.min(most, yt[yt.length - 1]!)];
  const [x0, x1] = [Math.min(...xs, ...points.map((p) => p.x)), Math.max(...xs, ...points.map((p) => p.x))];
  const X = (x: number) => PAD.left + (x1 === x0 ? 0.5 : (x - x0) / (x1 - x0)) * (width - PAD.left - PAD.right);
  const Y = (v: number) => PAD.top + (1 - (v - y0) / (y1 - y0 || 1)) * (height - PAD.top - PAD.bottom);
  const path = (vs: (number | null)[]) => {
    let d = '';
    vs.forEach((v, i) => { if (v !== null && Number.isFinite(v)) d += `${d && vs[i - 1] !== null ? 'L' : 'M'}${X(xs[i]!).toFixed(1)} ${Y(conv(v)).toFixed(1)}`; });
    return d;
  };
  const area = band && `${path(band.map((b) => b.hi))}L${band.map((b, i) => `${X(xs[i]!).toFixed(1)} ${Y(conv(b.lo)).toFixed(1)}`).reverse().join('L')}Z`;
  const at = props.at !== undefined && props.at !== null && props.at <= x1 ? props.at : null;
  // the limit's name keeps to the side where the session shown is not
  const nameAt = at !== null && X(at) < (PAD.left + width - PAD.right) / 2 ? { x: width - PAD.right - 4, 'text-anchor': 'end' as const } : { x: PAD.left + 4 };
  const every = Math.ceil(xs.length / Math.max(2, Math.floor((width - 60) / 34)));
  return (
    <figure class="chart">
      <figcaption><Worded>{title}</Worded> <span class="chart-unit">{unitOf(kind)}</span></figcaption>
      <div ref={ref}>
        <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
          {yt.filter((t) => t <= y1).map((t) => (
            <g key={t}>
              <line class="chart-grid" x1={PAD.left} x2={width - PAD.right} y1={Y(t)} y2={Y(t)} />
              <text class="chart-tick" x={PAD.left - 7} y={Y(t) + 4} text-anchor="end">{Number(t.toPrecision(6))}</text>
            </g>
          ))}
          {xs.map((x, i) => i % every === 0 && <text key={x} class="chart-tick" x={X(x)} y={height - PAD.bottom + 17} text-anchor="middle">{x}</text>)}
          <text class="chart-tick" x={width - PAD.right} y={height - 1} text-anchor="end">{props.xLabel}</text>
          {area && <path class="chart-band" d={area} />}
          {band && <path class="chart-mid" d={path(band.map((b) => b.mid))} />}
          {line && <path class={props.joined ? 'chart-line behind' : 'chart-line'} d={path(line)} />}
          {showLimit && <line class="chart-limit" x1={PAD.left} x2={width - PAD.right} y1={Y(near)} y2={Y(near)} />}
          {at !== null && <line class="chart-at" x1={X(at)} x2={X(at)} y1={PAD.top} y2={height - PAD.bottom} />}
          {props.joined && points.length > 1 && <path class="chart-joined" d={`M${points.map((p) => `${X(p.x).toFixed(1)} ${Y(conv(p.y)).toFixed(1)}`).join('L')}`} />}
          {points.map((p, i) => <circle key={i} class="chart-point" cx={X(p.x)} cy={Y(conv(p.y))} r="4.500" />)}
          {showLimit && !props.quietLimit && <text class="chart-limit-name" {...nameAt} y={Y(near) - 4}>{limit!.name}</text>}
        </svg>
      </div>
      <ChartTable {...props} />
    </figure>
  );
}

function ChartTable({ title, kind, xLabel, xs, line, lineName = 'forecast', band, points = [], limit }: ChartProps) {
  const rows = [...new Set([...xs, ...points.map((p) => p.x)])].sort((a, b) => a - b);
  return (
    <details class="chart-table">
      <summary>Numbers<span class="unseen"> of {title}</span></summary>
      <div class="scroll" tabIndex={0} role="region" aria-label={`${title}, table`}>
        <table>
          <thead>
            <tr>
              <th scope="col">{xLabel}</th>
              {line && <th scope="col">{lineName}</th>}
              {band && <th scope="col">9 in 10 between</th>}
              {points.length > 0 && <th scope="col">measured</th>}
            </tr>
          </thead>
          <tbody>
            {rows.map((x) => {
              const i = xs.indexOf(x);
              const b = band?.[i];
              return (
                <tr key={x}>
                  <th scope="row">{x}</th>
                  {line && <td>{show(line[i], kind)}</td>}
                  {band && <td>{b ? `${num(b.lo, kind)} to ${show(b.hi, kind)}` : '–'}</td>}
                  {points.length > 0 && <td>{points.filter((p) => p.x === x).map((p) => `${p.label} ${show(p.y, kind)}`).join(', ') || '–'}</td>}
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
      {limit && <p class="quiet">Limit {show(limit.value, kind)}: {limit.name}.</p>}
    </details>
  );
}
