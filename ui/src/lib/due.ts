// What is due in the sessions that are lit, by the page's own running clock: right between two answers
// of the server, after a sleep, and without a connection.
import type { Session, Today } from './types';

export interface Waits { session: Session; codes: string[]; late_min: number; over: boolean; moment: string }

export const litMinute = (s: Session, now: number): number => Math.max(0, (now - Date.parse(s.lit_at)) / 60000);

/** The sessions that wait for a hand: readings due, or the planned time over. */
export function waitingSessions(today: Today | null, now: number): Waits[] {
  return (today?.lit ?? []).flatMap((session) => {
    const due = today!.due.filter((d) => d.session_id === session.id && Date.parse(d.due_at) <= now);
    const over = litMinute(session, now) >= session.planned_h * 60;
    if (!due.length && !over) return [];
    const minute = over ? session.planned_h * 60 : Math.max(...due.map((d) => d.minute));
    return [{
      session, over, codes: [...new Set(due.map((d) => d.code))], moment: `${session.id}@${Math.round(minute)}`,
      late_min: Math.max(0, ...due.map((d) => (now - Date.parse(d.due_at)) / 60000)),
    }];
  });
}
