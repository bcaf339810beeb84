// One candle of a session: its code large, last value of each reading, the rest of the readings to hand.
import { useState } from 'preact/hooks';
import { doneSince, lastOf, type BenchReading } from '../lib/bench';
import { roundAt, sortKinds } from '../lib/kinds';
import type { ReadingKind, Session, SessionCandle } from '../lib/types';
import { show } from '../lib/units';
import { minutes, plural, sizeWord } from '../lib/when';
import { PhotoTake } from './PhotoTake';
import { Worded } from './Term';

interface CardProps {
  session: Session; candle: SessionCandle; kinds: ReadingKind[]; readings: BenchReading[]; due: number | null; open: boolean; onRead: (kind: string) => void;
}

export function CandleCard({ session, candle, kinds, readings, due, open, onRead }: CardProps) {
  const [more, setMore] = useState(false);
  const round = roundAt(kinds, session, due);
  const seen = sortKinds(readings.filter((r) => r.candle_id === candle.candle_id && r.state !== 'refused').map((r) => r.kind));
  const shown = open ? sortKinds([...round, ...seen]) : seen;
  const done = doneSince(readings, candle.candle_id, due ?? 0);
  const last = (key: string) => lastOf(readings, candle.candle_id, key);
  const isDue = (key: string) => open && due !== null && round.includes(key) && !done.has(key);
  const fresh = shown.filter((key) => !last(key));
  const freshDue = fresh.filter(isDue).length;
  const again = shown.some((key) => last(key) && isDue(key)); // marked above by themselves
  const others = kinds.filter((k) => !shown.includes(k.key));
  const label = (key: string) => kinds.find((k) => k.key === key)?.label ?? key;
  return (
    <section class="candle" aria-label={`Candle ${candle.code}`}>
      <div class="candle-head">
        <h2>{candle.code}</h2>
        <p>
          {sizeWord(candle.size_name)} · session {candle.number}
          {candle.before_cure && <span class="tag warn">before cure</span>}
          {candle.before_rest && <span class="tag warn">before rest</span>}
          {candle.ended_at && <span class="tag">out{candle.reason ? `: ${candle.reason.replace('_', ' ')}` : ''}</span>}
        </p>
      </div>
      {candle.burned_g !== null && (
        <p class="candle-burned">{show(candle.burned_g, 'g')} burned{candle.rate_g_h !== null && <>, {show(candle.rate_g_h, 'g_h')}</>}{candle.wax_left_pct !== null && <>, {show(candle.wax_left_pct, 'pct', 0)} of the wax left</>}</p>
      )}
      <ul class="candle-readings">
        {shown.filter(last).map((key) => (
          <li key={key}><ReadRow label={label(key)} last={last(key)!} due={isDue(key)} open={open} onRead={() => onRead(key)} /></li>
        ))}
      </ul>
      {open && (
        <>
          <button type="button" class="link" aria-expanded={more} onClick={() => setMore(!more)}>
            {freshDue ? `${again ? `${freshDue} more` : plural(freshDue, 'reading')} due: choose one` : 'Other readings'}<span class="unseen"> of {candle.code}</span>
          </button>
          {more && (
            <ul class="candle-others">
              {[...fresh, ...others.map((k) => k.key)].map((key) => (
                <li key={key}><button type="button" class={isDue(key) ? 'button small chip due' : 'button small chip'} onClick={() => onRead(key)}>{label(key)}{isDue(key) && <span class="unseen">, due</span>}</button></li>
              ))}
            </ul>
          )}
        </>
      )}
      <PhotoTake session={session} candle={candle} readings={readings} />
    </section>
  );
}

function ReadRow({ label, last, due, open, onRead }: { label: string; last: BenchReading; due: boolean; open: boolean; onRead: () => void }) {
  const value = (
    <span class="read-value">{last.shown} <span class="quiet">at {minutes(last.minute)}{last.state === 'waiting' ? ', not yet sent' : ''}</span></span>
  );
  if (!open) return <div class="read-row"><span><Worded>{label}</Worded></span>{value}</div>;
  return (
    <button type="button" class={due ? 'read-row due' : 'read-row'} onClick={onRead}><span>{label}{due && <span class="unseen">, due again</span>}</span>{value}</button>
  );
}
