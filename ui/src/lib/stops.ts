// Stop-now findings that came back with a reading, kept per session until the page is left for good.
import { ring } from './alarm';
import { useAnswer } from './live';
import { bell, useWatched } from './watch';
import type { Finding, Session, VerdictPage } from './types';

const found = new Map<string, Finding[]>();
const changed = bell();

export const stopsOf = {
  get: (sessionId: string): Finding[] => found.get(sessionId) ?? [],
  add(findings: Finding[], sessionId: string): void {
    found.set(sessionId, [...(found.get(sessionId) ?? []), ...findings]);
    changed.ring();
    ring(`${sessionId}!${findings.map((f) => f.requirement + (f.candle ?? '') + f.readings.join('')).join()}`, true);
  },
};

/** Stop-now findings: those an answer just brought, and those the verdict still holds for this session. */
export function useStops(session: Session): Finding[] {
  const fresh = useWatched(changed, () => stopsOf.get(session.id), session.id);
  const recipes = session.open ? [...new Set(session.candles.map((c) => c.recipe_id))] : [];
  const ask = (i: number) => (recipes[i] ? `/api/recipes/${recipes[i]}/verdict` : null);
  const verdicts = [useAnswer<VerdictPage>(ask(0)), useAnswer<VerdictPage>(ask(1)), useAnswer<VerdictPage>(ask(2))];
  const alight = new Map(session.candles.filter((c) => !c.ended_at).map((c) => [c.code, c.number]));
  const told = verdicts.flatMap((v) => v.data?.wicks ?? []).flatMap((w) => w.verdict.findings)
    .filter((f) => f.weight === 'stop' && f.candle !== null && alight.has(f.candle) && alight.get(f.candle) === (f.session ?? alight.get(f.candle)));
  const all = [...fresh.filter((f) => f.candle === null || alight.has(f.candle)), ...told];
  return all.filter((f, i) => all.findIndex((g) => g.requirement === f.requirement && g.candle === f.candle) === i);
}
