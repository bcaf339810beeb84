// Small multiples: several burns cut open at the same moment, at one scale, with one slider of time
// for all of them and a table of what each does then and over its life.
import type { ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { frameAt, momentText, sampleAt, sessionsOf, type Moment } from '../lib/moment';
import type { Burn, ForecastSession } from '../lib/types';
import { num, show, type Kind } from '../lib/units';
import { minutes } from '../lib/when';
import { boxOfAll, JarCut } from './JarCut';
import { Tape } from './Tape';
import { Worded } from './Term';

export interface Shown { key: string; name: string; under?: ComponentChildren; burn: Burn | null }

export function Jars({ list, moment }: { list: Shown[]; moment: Moment }) {
  const cuts = list.flatMap((s) => (s.burn ? [s.burn.cut] : []));
  if (!cuts.length) return null;
  const box = boxOfAll(cuts);
  return (
    <ul class="jars" data-count={list.length}>
      {list.map((s) => (
        <li key={s.key}>
          <p class="jars-name"><b>{s.name}</b>{s.under && <span class="quiet">{s.under}</span>}</p>
          {s.burn ? <OneJar burn={s.burn} name={s.name} moment={moment} box={box} /> : <p class="loading jars-wait"><span class="loading-dot" aria-hidden="true" /><span role="status">Burning it…</span></p>}
        </li>
      ))}
    </ul>
  );
}

function OneJar({ burn, name, moment, box }: { burn: Burn; name: string; moment: Moment; box: ReturnType<typeof boxOfAll> }) {
  const frame = frameAt(burn.cut, moment);
  if (!frame) return <p class="quiet">No picture.</p>;
  const s = sampleAt(burn.trace, frame);
  const t = burn.trace;
  const over = frame.session < moment.session;
  const label = `${name}, cut open. ${momentText(frame)}: pool reaches ${show(t.reach_pct[s], 'pct')} of the way to the wall, flame ${show(frame.flame_mm, 'mm')}, hottest wall ${show(t.wall_max_C[s], 'C')}.`;
  return (
    <>
      <JarCut cut={burn.cut} frame={frame} wallC={t.wall_max_C[s] ?? null} wallAt={t.wall_max_at_mm[s] ?? null} label={label} box={box} />
      {over && <p class="jars-over quiet">over after {show(burn.summary.burn_h_total, 'h', 0)} lit</p>}
    </>
  );
}

/** Play, pause and slide through moments; the same hand everywhere. */
export function MomentSlider({ moments, at, onAt }: { moments: Moment[]; at: number; onAt: (i: number) => void }) {
  const [playing, setPlaying] = useState(false);
  const last = moments.length - 1;
  const i = Math.min(at, last);
  useEffect(() => {
    if (!playing) return;
    if (i >= last) return setPlaying(false);
    const timer = setTimeout(() => onAt(i + 1), 130);
    return () => clearTimeout(timer);
  }, [playing, i, last]);
  const m = moments[i];
  if (!m) return null;
  const play = () => {
    if (!playing && i >= last) onAt(0);
    setPlaying(!playing);
  };
  return (
    <div class="moment">
      <p class="moment-text"><strong>{m.lit ? `Session ${m.session}` : 'Resting'}</strong> {m.lit ? `${minutes(m.minute)} lit` : `after session ${m.session}`}</p>
      <div class="player-time">
        <button type="button" class="button round small-round" onClick={play} aria-label={playing ? 'Pause' : 'Play them together'}>
          <svg viewBox="0 0 20 20" aria-hidden="true">{playing ? <path d="M5 3.500h3.500v13H5zM11.500 3.500H15v13h-3.500z" /> : <path d="M6 3.500v13l10.500-6.500z" />}</svg>
        </button>
        <div class="player-slide">
          <input type="range" min={0} max={last} step={1} value={i} aria-label="Moment shown of every candle" aria-valuetext={momentText(m)} onInput={(e) => { setPlaying(false); onAt(Number(e.currentTarget.value)); }} />
          <Tape from={0} to={last} stretches={sessionsOf(moments)} label="Burn sessions with rests between" />
        </div>
      </div>
    </div>
  );
}

/** `own`: said of the column itself, not of its burn. */
export interface Row { label: string; kind: Kind; digits?: number; of: (b: Burn) => number | null; text?: (b: Burn) => string; own?: (key: string) => string }

/** What is so at the moment shown. */
export function momentRows(m: Moment): Row[] {
  const at = (b: Burn, key: 'reach_pct' | 'depth_mid_mm' | 'wall_max_C' | 'rate_g_h'): number | null => {
    const f = frameAt(b.cut, m);
    const x = f ? b.trace[key][sampleAt(b.trace, f)] : null;
    return x ?? null;
  };
  return [
    { label: 'pool reach', kind: 'pct', digits: 0, of: (b) => at(b, 'reach_pct') },
    { label: 'depth half way', kind: 'mm', of: (b) => at(b, 'depth_mid_mm') },
    { label: 'hottest wall', kind: 'C', of: (b) => at(b, 'wall_max_C') },
    { label: 'flame', kind: 'mm', of: (b) => frameAt(b.cut, m)?.flame_mm ?? null },
    { label: 'burn rate', kind: 'g_h', of: (b) => (frameAt(b.cut, m)?.lit ? at(b, 'rate_g_h') : 0) },
  ];
}

const wallText = (b: Burn): string => {
  const s: ForecastSession | undefined = b.sessions.find((x) => x.wall_reached_min !== null);
  const near = b.summary.wall_counts_session;
  if (s) return `session ${s.number}, ${minutes(s.wall_reached_min!)}`;
  return near ? `session ${near}, but for ${show(b.summary.wall_ring_mm, 'mm')}` : 'never';
};

/** What is so over the whole life. */
export const LIFE_ROWS: Row[] = [
  { label: 'pool at the wall', kind: 'none', of: (b) => b.summary.wall_reached_session, text: wallText },
  { label: 'hottest wall', kind: 'C', of: (b) => b.summary.wall_max_C },
  { label: 'tallest flame', kind: 'mm', of: (b) => b.summary.flame_max_mm },
  { label: 'burns for', kind: 'h', digits: 0, of: (b) => b.summary.burn_h_total },
  { label: 'ends', kind: 'none', of: () => null, text: (b) => ENDS[b.summary.end] ?? 'still burning' },
  { label: 'wax poured', kind: 'g', digits: 0, of: (b) => b.summary.fill_g },
  { label: 'wax left over', kind: 'g', digits: 0, of: (b) => b.summary.left_g },
  { label: 'this simulated candle would be judged', kind: 'none', of: () => null, text: (b) => b.verdict.kind_text },
];
const ENDS: Record<string, string> = { end: 'down to the tab', drowned: 'drowned', starved: 'starved' };

export const cell = (r: Row, b: Burn | null, unit = true): string =>
  !b ? '…' : r.text ? r.text(b) : unit ? show(r.of(b), r.kind, r.digits) : num(r.of(b), r.kind, r.digits);

/** One column a candle; `last` gives a column more, of differences. */
export function RowsTable({ of, title, rows, list, last }: { of: string; title: string; rows: Row[]; list: Shown[]; last?: { head: string; of: (r: Row) => string } }) {
  return (
    <div class="scroll" tabIndex={0} role="region" aria-label={`${of}, ${title}, table`}>
      <table class="compare">
        <thead><tr><th scope="col">{title}</th>{list.map((s) => <th key={s.key} scope="col">{s.name}</th>)}{last && <th scope="col">{last.head}</th>}</tr></thead>
        <tbody>
          {rows.map((r) => (
            <tr key={r.label}>
              <th scope="row"><Worded>{r.label}</Worded></th>
              {list.map((s) => <td key={s.key}>{r.own ? r.own(s.key) : cell(r, s.burn)}</td>)}
              {last && <td class="compare-last">{last.of(r)}</td>}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

