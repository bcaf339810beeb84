// One moment in the life of a candle, and where several burns stand at that same moment.
import type { Cut, Frame, Trace } from './types';
import { minutes } from './when';

export interface Moment { session: number; minute: number; lit: boolean }

export const momentOf = (f: Frame): Moment => ({ session: f.session, minute: f.minute, lit: Boolean(f.lit) });

export const momentText = (f: { session: number; minute: number; lit: boolean | number }): string =>
  f.lit ? `Session ${f.session}, ${minutes(f.minute)} lit` : `Resting after session ${f.session}`;

/** The picture nearest to a moment: same session, lit as it is, nearest minute; the last one of a candle that is over by then. */
export function frameAt(cut: Cut, m: Moment): Frame | undefined {
  const last = cut.frames[cut.frames.length - 1];
  if (last && last.session < m.session) return last;
  const off = (f: Frame) => Math.abs(f.session - m.session) * 1e6 + (Boolean(f.lit) === m.lit ? 0 : 1e5) + Math.abs(f.minute - m.minute);
  return cut.frames.reduce<Frame | undefined>((a, b) => (a && off(a) <= off(b) ? a : b), undefined);
}

/** The sample of the trace nearest to a frame: same session, nearest minute after its lighting. */
export function sampleAt(trace: Trace, frame: Frame): number {
  let best = 0;
  let least = Infinity;
  for (let k = 0; k < trace.session.length; k++) {
    if (trace.session[k] !== frame.session || Boolean(trace.lit[k]) !== Boolean(frame.lit)) continue;
    const off = Math.abs((trace.minute[k] ?? 0) - frame.minute);
    if (off < least) [best, least] = [k, off];
  }
  return best;
}

/** The frame a maker wants to see first: the end of the second session, or the middle of the life. */
export function firstFrame(frames: Frame[]): number {
  let best = Math.floor(frames.length / 2);
  frames.forEach((f, i) => { if (f.session === 2 && f.lit) best = i; });
  return best;
}

/** Stretches of a tape over the frames, one a session. */
export function sessionsOf(frames: Moment[]): { from: number; to: number; label: string }[] {
  const out: { from: number; to: number; label: string }[] = [];
  frames.forEach((f, i) => {
    const last = out[out.length - 1];
    if (!f.lit) return;
    if (last && last.label === String(f.session)) last.to = i;
    else out.push({ from: i, to: i, label: String(f.session) });
  });
  return out;
}

/** Moments of several burns on one line of time, none twice. */
export function momentsOf(cuts: Cut[]): Moment[] {
  const order = (m: Moment) => m.session * 1e5 + (m.lit ? 0 : 5e4) + m.minute;
  const all = cuts.flatMap((c) => c.frames.map(momentOf)).sort((a, b) => order(a) - order(b));
  return all.filter((m, i) => i === 0 || order(m) - order(all[i - 1]!) > 1);
}
