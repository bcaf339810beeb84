// Candles lit at this bench while the workshop computer did not answer: the session as it stands here, until
// the door has it. Its readings, reminders and putting out work as for any other.
import { burning, withEndings } from './bench';
import type { OutItem } from './db';
import { litMinute } from './due';
import { guess } from './guess';
import type { Candle, Due, Meta, Session, SessionCandle, Setting, Today } from './types';
import { typedUnits } from './units';

interface Lighting { id: string; at: number; candles: Candle[]; body: Record<string, unknown>; settings: Setting[] | undefined; meta: Meta | null }

const settingOf = (settings: Setting[] | undefined, key: string, fallback: string): string =>
  String(settings?.find((s) => s.key === key)?.value ?? fallback);

/** What the door will make of it, as far as it can be known here; a recipe's own due minutes come with its answer. */
export function sessionHere({ id, at, candles, body, settings, meta }: Lighting): Session {
  const planned_h = guess(String(body.planned ?? ''), 'h', 'h') ?? Number(settingOf(settings, 'session_h', '4'));
  const due = settingOf(settings, 'due_minutes', '30, 60, 120, 180').split(',').map(Number).filter((m) => m > 0 && m < planned_h * 60 - 5);
  return {
    id, lit_at: new Date(at).toISOString(), planned_h, ended_at: null, open: true, minute: 0,
    room_temp_C: guess(String(body.room_temp ?? ''), 'C', typedUnits('C')[0]!), draught: (body.draught as number | undefined) ?? null,
    trim_mm: guess(String(body.trim ?? ''), 'mm', typedUnits('mm')[0]!), candles: candles.map((c) => candleHere(c, body)),
    due_minutes: [...due, planned_h * 60], next_due_at: null, rest_until: null, readings: [], warnings: [], cautions: meta?.cautions.burning ?? [],
  };
}

function candleHere(c: Candle, body: Record<string, unknown>): SessionCandle {
  const mass = (body.masses as Record<string, string> | undefined)?.[c.code] ?? '';
  return {
    candle_id: c.id, code: c.code, size_name: c.size_name, recipe_id: c.recipe_id, recipe_name: c.recipe_name, number: c.sessions + 1,
    before_cure: c.state === 'curing', before_rest: c.state === 'resting', before_g: guess(mass, 'g', 'g'), after_g: null, burned_g: null,
    rate_g_h: null, ended_at: null, reason: null, wax_left_pct: null, expected: null,
  };
}

/** Sessions lit here; one whose lighting was refused burns all the same. */
const sessionsHere = (items: OutItem[]): Session[] => items.flatMap((i) => i.lit ?? []);

/** Candles that burn by what was typed here and is not yet sent; refused ones may be lit again. */
export const litHere = (items: OutItem[]): Set<string> => new Set(sessionsHere(items.filter((i) => !i.refused)).flatMap((s) => s.candles.map((c) => c.candle_id)));

/** Today with what was lit and put out here and is not yet sent. */
export function withTyped(today: Today, items: OutItem[], now: number): Today {
  if (!items.length) return today;
  const mine = sessionsHere(items).filter((s) => !today.lit.some((t) => t.id === s.id));
  const lit = [...today.lit, ...mine].map((s) => withEndings(s, items)).filter((s) => burning(s).length > 0);
  const burns = new Set(lit.flatMap((s) => burning(s).map((c) => c.candle_id)));
  const own = new Set(mine.flatMap((s) => s.candles.map((c) => c.candle_id)));
  const rest = (list: Candle[]) => list.filter((c) => !own.has(c.id));
  const due = [...today.due, ...mine.flatMap((s) => dueHere(s, items, now))].filter((d) => burns.has(d.candle));
  return { ...today, lit, due, ready: rest(today.ready), resting: rest(today.resting), curing: rest(today.curing) };
}

/** The latest minute reached and not yet read, for each candle. */
function dueHere(s: Session, items: OutItem[], now: number): Due[] {
  const minute = [...s.due_minutes].reverse().find((m) => m <= litMinute(s, now));
  if (minute === undefined) return [];
  const due = Date.parse(s.lit_at) + minute * 60000;
  const read = (candle: string) => items.some((i) => i.path === '/api/readings' && i.body.candle === candle && i.typed_at >= due - 180000);
  return s.candles.filter((c) => !read(c.candle_id)).map((c) => ({
    session_id: s.id, candle: c.candle_id, code: c.code, kinds: [], minute, due_at: new Date(due).toISOString(), overdue_min: (now - due) / 60000,
  }));
}
