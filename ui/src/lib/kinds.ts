// Which readings are asked for when, and in what order a hand goes round the candle.
import type { ReadingKind, Session } from './types';
import { typedUnits, type Kind } from './units';

const BY_HAND = [
  'flame', 'pool_wide', 'pool_narrow', 'pool_at_wall', 'pool_depth', 'wall_temp', 'soot', 'mushroom', 'flicker', 'hangup', 'hangup_share', 'exposed_wick', 'smoke', 'lean', 'flame_gap', 'rim_temp', 'base_temp', 'went_out', 'relights',
  'throw', 'afterglow', 'surface', 'mass', 'room_temp', 'draught', 'second_flame', 'flashover', 'broken', 'tips',
];

/** The round at a due minute of a session, by the door's own table; before any minute is due, as at its first. */
export function roundAt(kinds: ReadingKind[], session: Session, due: number | null): string[] {
  const minute = due ?? session.due_minutes[0] ?? 0;
  const end = minute >= session.planned_h * 60 - 1;
  return sortKinds(kinds.filter((k) => k.due && (end || (minute >= k.due.from_min && minute < k.due.to_min))).map((k) => k.key));
}

export function sortKinds(kinds: string[]): string[] {
  const rank = (k: string) => { const i = BY_HAND.indexOf(k); return i < 0 ? 99 : i; };
  return [...new Set(kinds)].sort((a, b) => rank(a) - rank(b));
}

/** Choices for readings that are no measurement. */
export function choicesOf(kind: ReadingKind): { value: string; label: string }[] | null {
  const type = kind.type.charAt(0).toUpperCase();
  if (type === 'F' || type === 'B') return [{ value: 'yes', label: 'Yes' }, { value: 'no', label: 'No' }];
  if (type !== 'G' && type !== 'S') return null;
  const words = gradeWords(kind);
  return Array.from({ length: kind.max - kind.min + 1 }, (_, i) => {
    const n = kind.min + i;
    return { value: String(n), label: words[n] ? `${n} ${words[n]}` : String(n) };
  });
}

/** "0 steady, 3 dances all the time." gives words to 0 and 3. */
function gradeWords(kind: ReadingKind): Record<number, string> {
  const out: Record<number, string> = {};
  for (const part of kind.help.replace(/\.$/, '').split(',')) {
    const m = /^\s*(\d)\s+(.+)$/.exec(part);
    if (m) out[Number(m[1])] = m[2]!;
  }
  return out;
}

const DIM: Record<string, Kind> = { mm: 'mm', C: 'C', '°C': 'C', g: 'g', '%': 'pct' };

/** Units the keypad offers for a kind; the first one is the maker's own. */
export function padUnits(kind: ReadingKind): string[] {
  const k = DIM[kind.unit];
  return k ? typedUnits(k) : [kind.unit];
}
