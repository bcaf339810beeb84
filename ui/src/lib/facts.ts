// What was measured, as points over the sessions of each candle, in the terms of a forecast's bands.
import type { Point } from '../parts/Chart';
import type { BandKey, Band, ForecastSession, Limit, Reading, Session } from './types';
import { show, type Kind } from './units';

export interface Quantity { key: BandKey; title: string; kind: Kind; reading: string | null; limit?: string }

/** A limit is found by a part of its key. */
export const QUANTITIES: Quantity[] = [
  { key: 'rate_g_h', title: 'Burn rate', kind: 'g_h', reading: null },
  { key: 'reach_pct', title: 'Pool reach', kind: 'pct', reading: 'pool_at_wall' },
  { key: 'depth_mid_mm', title: 'Pool depth, half way', kind: 'mm', reading: 'pool_depth', limit: 'pool_depth_max' },
  { key: 'wall_max_C', title: 'Hottest wall', kind: 'C', reading: 'wall_temp', limit: 'wall_temp_stop' },
  { key: 'flame_max_mm', title: 'Tallest flame', kind: 'mm', reading: 'flame', limit: 'flame_max' },
  { key: 'hangup_g', title: 'Wax left on the wall', kind: 'g', reading: null },
];

export function factsOf(q: Quantity, readings: Reading[], sessions: Session[], codes: string[]): Point[] {
  if (q.key === 'rate_g_h') return rates(sessions, codes);
  if (!q.reading) return [];
  const own = readings.filter((r) => codes.includes(r.code));
  // "at the wall all round" is a whole reach; its absence is no number
  if (q.key === 'reach_pct') return worst(own.filter((r) => r.kind === 'pool_at_wall' && r.value > 0), q.reading, sessions).map((p) => ({ ...p, y: 100 }));
  return worst(own, q.reading, sessions);
}

/** A last flicker on the wick's neck is the end of the jar and not a session, as the judge counts them. */
export function sessionsThatCount<S extends Pick<ForecastSession, 'out' | 'lit_h'>>(sessions: S[]): S[] {
  let n = sessions.length;
  while (n > 1 && sessions[n - 1]!.out === 'end' && sessions[n - 1]!.lit_h < 0.5) n--;
  return sessions.slice(0, n);
}

/**
 * The highest standing reading of each candle and session: the one the limits are held against. The forecast is of whole sessions:
 * one that still burns is held against it when it is over.
 */
function worst(readings: Reading[], kind: string, sessions: Session[]): Point[] {
  const number = new Map(sessions.flatMap((s) => s.candles.filter((c) => c.ended_at).map((c) => [`${s.id} ${c.candle_id}`, c.number] as const)));
  const best = new Map<string, Point>();
  for (const r of readings) {
    if (r.kind !== kind || r.corrected_by) continue;
    const x = number.get(`${r.session_id} ${r.candle_id}`);
    if (x === undefined) continue;
    const key = `${r.code} ${x}`;
    if ((best.get(key)?.y ?? -Infinity) < r.value) best.set(key, { x, y: r.value, label: r.code });
  }
  return [...best.values()].sort((a, b) => a.x - b.x);
}

function rates(sessions: Session[], codes: string[]): Point[] {
  return sessions.flatMap((s) => s.candles
    .filter((c) => codes.includes(c.code) && c.rate_g_h !== null)
    .map((c) => ({ x: c.number, y: c.rate_g_h!, label: c.code }))).sort((a, b) => a.x - b.x);
}

/** Bands of the sessions drawn; sessions few members reached repeat the last known band. */
export function bandAt(xs: number[], band: Band[] | undefined): { lo: number; mid: number; hi: number }[] | undefined {
  if (!band?.length) return undefined;
  return xs.map((x) => {
    const b = band.find((k) => k.session === x) ?? band[band.length - 1]!;
    return { lo: b.p05, mid: b.p50, hi: b.p95 };
  });
}

export function limitOf(q: Quantity, limits: Limit[] | undefined): { value: number; name: string } | undefined {
  const found = q.limit ? limits?.find((l) => l.key === q.limit) : undefined;
  return found && { value: found.value, name: `limit ${show(found.value, q.kind)}, ${found.owner}` };
}
