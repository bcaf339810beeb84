// On every page: what is due at the bench, said in the top line, with a sound and a buzz when it comes due.
import { useEffect } from 'preact/hooks';
import { canSound, keepAwake, ring, setSound, soundChanged, soundOn } from '../lib/alarm';
import { useOutbox } from '../lib/bench';
import { useNow } from '../lib/clock';
import { waitingSessions, type Waits } from '../lib/due';
import { ahead, seed, useAnswer } from '../lib/live';
import { withTyped } from '../lib/lit';
import { say } from '../lib/say';
import { useWatched } from '../lib/watch';
import type { Today } from '../lib/types';

/** `here` is the session whose own page is open: it says by itself what is due. */
export function DueWatch({ here }: { here: string }) {
  const known = useAnswer<Today>('/api/today', 15000).data;
  const items = useOutbox();
  const now = useNow(1000);
  const today = known && withTyped(known, items, now);
  const lit = today?.lit ?? [];
  const waits = waitingSessions(today, now);
  const moments = waits.map((w) => w.moment).join(' ');
  useEffect(() => {
    for (const w of waits) if (ring(w.moment, w.over)) say(`${words(w)}.`);
  }, [moments]);
  useEffect(() => {
    // the sheet of a lit session must open when the computer is gone by then
    for (const s of lit) seed(`/api/sessions/${s.id}`, s);
    if (lit.length || known?.ready.length) ahead('/api/reading-kinds');
    if (known?.ready.length) ahead('/api/candles'); // lighting too must be possible then
    void keepAwake(lit.length > 0);
    const again = () => void keepAwake(lit.length > 0);
    document.addEventListener('visibilitychange', again);
    return () => document.removeEventListener('visibilitychange', again);
  }, [known]);
  const other = waits.find((w) => w.session.id !== here);
  if (!other) return null;
  return <aside class="due-line" aria-label="Due at the bench"><a href={`/sessions/${other.session.id}`}>{words(other)}</a></aside>;
}

const words = (w: Waits): string =>
  `${w.over ? 'Time to put out' : 'Readings due'}: ${(w.codes.length ? w.codes : w.session.candles.filter((c) => !c.ended_at).map((c) => c.code)).join(', ')}`;

/** On or off, for this device; and whether it can be heard at all. */
export function SoundSwitch() {
  const on = useWatched(soundChanged, soundOn);
  const heard = useWatched(soundChanged, canSound);
  return (
    <p class="sound">
      <button type="button" class="link" aria-pressed={on} onClick={() => setSound(!on)}>{on ? 'Reminders sound and buzz here' : 'Reminders are silent here'}</button>
      {on && !heard && <span class="quiet"> Touch the page once so that it may sound.</span>}
    </p>
  );
}
