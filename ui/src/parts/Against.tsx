// Forecast against fact: the band of simulated candles, the dots that were measured.
import type { BandKey, Forecast, Reading, Session } from '../lib/types';
import type { Kind } from '../lib/units';
import { Chart, type Point } from './Chart';
import { Loading } from './Page';

interface AgainstProps { forecast: Forecast; waiting: boolean; readings: Reading[]; sessions: Session[]; codes: string[] }

const ROWS: { key: BandKey; title: string; kind: Kind; reading: string | null }[] = [
  { key: 'rate_g_h', title: 'Burn rate', kind: 'g_h', reading: null },
  { key: 'depth_mid_mm', title: 'Pool depth, half way', kind: 'mm', reading: 'pool_depth' },
  { key: 'wall_max_C', title: 'Hottest wall', kind: 'C', reading: 'wall_temp' },
  { key: 'flame_max_mm', title: 'Tallest flame', kind: 'mm', reading: 'flame' },
];

export function Against({ forecast, waiting, readings, sessions, codes }: AgainstProps) {
  const number = numbersOf(sessions);
  const xs = forecast.sessions.map((s) => s.number);
  return (
    <>
      {waiting && <Loading what="Burning the band" />}
      <div class="charts four">
      {ROWS.map((row) => {
        const band = forecast.intervals?.[row.key];
        const points = row.reading ? worst(readings, row.reading, number) : rates(sessions, codes);
        return (
          <Chart key={row.key} title={row.title} kind={row.kind} xLabel="session" xs={xs} line={forecast.sessions.map((s) => s[row.key])} points={points}
            band={band?.length ? xs.map((x) => band.find((b) => b.session === x) ?? band[band.length - 1]!).map((b) => ({ lo: b.p05, mid: b.p50, hi: b.p95 })) : undefined} />
        );
      })}
      </div>
    </>
  );
}

const numbersOf = (sessions: Session[]): Map<string, number> =>
  new Map(sessions.flatMap((s) => s.candles.map((c) => [`${s.id} ${c.candle_id}`, c.number] as const)));

/** The highest standing reading of each candle and session: the one the limits are held against. */
function worst(readings: Reading[], kind: string, number: Map<string, number>): Point[] {
  const best = new Map<string, Point>();
  for (const r of readings) {
    if (r.kind !== kind || r.corrected_by) continue;
    const x = number.get(`${r.session_id} ${r.candle_id}`);
    if (x === undefined) continue;
    const key = `${r.code} ${x}`;
    if ((best.get(key)?.y ?? -Infinity) < r.value) best.set(key, { x, y: r.value, label: r.code });
  }
  return [...best.values()];
}

function rates(sessions: Session[], codes: string[]): Point[] {
  return sessions.flatMap((s) => s.candles
    .filter((c) => codes.includes(c.code) && c.rate_g_h !== null)
    .map((c) => ({ x: c.number, y: c.rate_g_h!, label: c.code })));
}
