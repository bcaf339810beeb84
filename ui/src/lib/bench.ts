// A burn session as the bench sees it: what the server knows plus what is typed and not yet sent.
import { outboxItems, outboxChanged, sentItems } from './outbox';
import type { OutItem } from './db';
import type { Conflict, Reading, ReadingKind, Session, SessionCandle } from './types';
import { guess } from './guess';
import { minutes } from './when';
import { readingValue } from './reading';
import { useWatched } from './watch';

export interface BenchReading {
  id: string; candle_id: string; code: string; kind: string; label: string; shown: string; minute: number;
  corrected: boolean; corrects: string | null; state: 'kept' | 'waiting' | 'refused'; refused: string; typed: string;
  session_id: string; corrected_by: string | null;
  /** What it is in conflict with, while two or more of them stand. */
  conflict: Conflict | null;
}

export const useOutbox = (): OutItem[] => useWatched(outboxChanged, outboxItems);

/** What was typed here: waiting, refused, or sent so lately that no answer has it yet. */
export function useTyped(): { items: OutItem[]; sent: OutItem[] } {
  const items = useOutbox();
  return { items, sent: sentItems() };
}

export function benchReadings(session: Session, kinds: ReadingKind[], items: OutItem[], sent: OutItem[]): BenchReading[] {
  const lit = Date.parse(session.lit_at);
  const replaced = new Set([...sent, ...items].filter((i) => !i.refused).flatMap((i) => (i.body.corrects as string | undefined) ?? (i.body.over as string[] | undefined) ?? []));
  const there = new Set(session.readings.map((r) => r.id));
  const conflicts = standing(session.conflicts, replaced);
  const known = session.readings.map((r) => fromReading(r, replaced, conflicts));
  const mine = (list: OutItem[]) => list.filter((i) => i.path === '/api/readings' && i.session_id === session.id && !there.has(i.id))
    .map((i) => fromItem(i, lit, session, kinds, replaced));
  return [...known, ...mine(sent).map((r) => ({ ...r, state: 'kept' as const })), ...mine(items)];
}

/** Conflicts not settled here meanwhile, by the readings that still stand in them. */
function standing(conflicts: Conflict[] | undefined, replaced: Set<string>): Map<string, Conflict> {
  const left = (conflicts ?? []).map((c) => ({ ...c, readings: c.readings.filter((r) => !replaced.has(r.id)) })).filter((c) => c.readings.length > 1);
  return new Map(left.flatMap((c) => c.readings.map((r) => [r.id, c])));
}

function fromReading(r: Reading, replaced: Set<string>, conflicts: Map<string, Conflict>): BenchReading {
  return {
    id: r.id, candle_id: r.candle_id, code: r.code, kind: r.kind, label: r.label, shown: readingValue(r.value, r.unit, r.kind),
    minute: r.minute, corrected: Boolean(r.corrected_by) || replaced.has(r.id), corrects: r.corrects, state: 'kept', refused: '',
    typed: `${r.value} ${r.unit}`.trim(), session_id: r.session_id, corrected_by: r.corrected_by, conflict: conflicts.get(r.id) ?? null,
  };
}

function fromItem(i: OutItem, lit: number, session: Session, kinds: ReadingKind[], replaced: Set<string>): BenchReading {
  const candle_id = String(i.body.candle);
  const kind = String(i.body.kind);
  return {
    id: i.id, candle_id, kind, code: session.candles.find((c) => c.candle_id === candle_id)?.code ?? '',
    label: kinds.find((k) => k.key === kind)?.label ?? kind, shown: String(i.body.value),
    minute: i.body.minute !== undefined ? Number(i.body.minute) : Math.max(0, (i.typed_at - lit) / 60000), corrected: replaced.has(i.id),
    corrects: (i.body.corrects as string | undefined) ?? null, state: i.refused ? 'refused' : 'waiting', refused: i.refused,
    typed: String(i.body.value), session_id: i.session_id, corrected_by: null, conflict: null,
  };
}

/** The last standing reading of a kind; where two do not agree it says both. */
export function lastOf(readings: BenchReading[], candleId: string, kind: string): BenchReading | undefined {
  const last = readings
    .filter((r) => r.candle_id === candleId && r.kind === kind && !r.corrected && r.state !== 'refused')
    .sort((a, b) => b.minute - a.minute)[0];
  return last?.conflict ? { ...last, shown: inConflict(readings, last.conflict).map((r) => r.shown).join(' or ') } : last;
}

/** Readings of a conflict as they stand here, in its order. */
export const inConflict = (readings: BenchReading[], conflict: Conflict): BenchReading[] =>
  conflict.readings.flatMap(({ id }) => readings.find((r) => r.id === id) ?? []);

/** The reading that holds now in the place of one that was corrected or gave way; undefined when that one holds itself. */
export function holdsFor(readings: BenchReading[], id: string): BenchReading | undefined {
  const by = (r: BenchReading | undefined) => readings.find((x) => x.id === r?.corrected_by);
  let at = readings.find((r) => r.id === id);
  while (by(at)) at = by(at);
  return at && at.id !== id && !at.corrected ? at : undefined;
}

export const lastText = (r: BenchReading | undefined): string => (r ? `last ${r.shown} at ${minutes(r.minute)}` : '');

/** The session with what was put out here and is not yet sent: a candle said to be out is not asked about again. */
export function withEndings(session: Session, items: OutItem[]): Session {
  const endings = items.filter((i) => !i.refused && i.path === `/api/sessions/${session.id}/end`);
  if (!endings.length) return session;
  const candles = session.candles.map((c) => {
    let out = c;
    for (const { body } of endings) {
      if (!(body.candles as string[] | undefined)?.includes(c.candle_id)) continue;
      const mass = guess((body.masses as Record<string, string> | undefined)?.[c.code] ?? '', 'g', 'g');
      out = { ...out, ended_at: out.ended_at ?? (body.at ? String(body.at) : null), reason: out.reason ?? (body.reason ? String(body.reason) : null), after_g: out.after_g ?? mass };
    }
    return out;
  });
  return { ...session, candles };
}

/** Burning still: lit, and not put out one by one. */
export const burning = (session: Session): SessionCandle[] => session.candles.filter((c) => !c.ended_at);

/** The due minute this moment belongs to: the latest one already reached. */
export function dueNow(session: Session, minute: number): number | null {
  return [...session.due_minutes].reverse().find((m) => m <= minute + 0.5) ?? null;
}

/** Lit, and with no reading since this minute became due: as the door counts it, for which a mass tells nothing. */
export const unread = (session: Session, readings: BenchReading[], due: number): SessionCandle[] =>
  burning(session).filter((c) => ![...doneSince(readings, c.candle_id, due)].some((k) => k !== 'mass'));

/** Kinds of the round already written down for this due minute. */
export function doneSince(readings: BenchReading[], candleId: string, from: number): Set<string> {
  return new Set(readings.filter((r) => r.candle_id === candleId && r.minute >= from - 3 && !r.corrected && r.state !== 'refused').map((r) => r.kind));
}
