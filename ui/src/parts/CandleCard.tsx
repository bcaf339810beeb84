// One candle of a session: its code large, last value of each reading, the rest of the readings to hand.
import { useState } from 'preact/hooks';
import { doneSince, lastOf, type BenchReading } from '../lib/bench';
import { roundAt, sortKinds } from '../lib/kinds';
import type { ReadingKind, SessionCandle } from '../lib/types';
import { show } from '../lib/units';
import { minutes } from '../lib/when';

interface CardProps {
  candle: SessionCandle; kinds: ReadingKind[]; readings: BenchReading[]; due: number | null; open: boolean; onRead: (kind: string) => void;
}

export function CandleCard({ candle, kinds, readings, due, open, onRead }: CardProps) {
  const [more, setMore] = useState(false);
  const round = roundAt(due ?? 0);
  const seen = sortKinds(readings.filter((r) => r.candle_id === candle.candle_id && r.state !== 'refused').map((r) => r.kind));
  const shown = open ? sortKinds([...round, ...seen]) : seen;
  const done = doneSince(readings, candle.candle_id, due ?? 0);
  const others = kinds.filter((k) => !shown.includes(k.key));
  const label = (key: string) => kinds.find((k) => k.key === key)?.label ?? key;
  return (
    <section class="candle" aria-label={`Candle ${candle.code}`}>
      <div class="candle-head">
        <h2>{candle.code}</h2>
        <p>
          {candle.size_name} · session {candle.number}
          {candle.before_cure && <span class="tag warn">before cure</span>}
          {candle.ended_at && <span class="tag">out{candle.reason ? `: ${candle.reason.replace('_', ' ')}` : ''}</span>}
        </p>
      </div>
      {candle.burned_g !== null && (
        <p class="candle-burned">{show(candle.burned_g, 'g')} burned{candle.rate_g_h !== null && <>, {show(candle.rate_g_h, 'g_h')}</>}{candle.wax_left_pct !== null && <>, {show(candle.wax_left_pct, 'pct', 0)} of the wax left</>}</p>
      )}
      <ul class="candle-readings">
        {shown.map((key) => {
          const last = lastOf(readings, candle.candle_id, key);
          return (
            <li key={key}>
              <ReadRow label={label(key)} last={last} due={open && round.includes(key) && !done.has(key) && due !== null} open={open} onRead={() => onRead(key)} />
            </li>
          );
        })}
      </ul>
      {open && others.length > 0 && (
        <>
          <button type="button" class="link" aria-expanded={more} onClick={() => setMore(!more)}>Other readings<span class="unseen"> of {candle.code}</span></button>
          {more && (
            <ul class="candle-others">
              {others.map((k) => <li key={k.key}><button type="button" class="button small" onClick={() => onRead(k.key)}>{k.label}</button></li>)}
            </ul>
          )}
        </>
      )}
    </section>
  );
}

function ReadRow({ label, last, due, open, onRead }: { label: string; last: BenchReading | undefined; due: boolean; open: boolean; onRead: () => void }) {
  const value = last ? (
    <span class="read-value">{last.shown} <span class="quiet">at {minutes(last.minute)}{last.state === 'waiting' ? ', not yet sent' : ''}</span></span>
  ) : (
    <span class="read-value quiet">{due ? 'due' : 'none yet'}</span>
  );
  if (!open) return <div class="read-row"><span>{label}</span>{value}</div>;
  return (
    <button type="button" class={due ? 'read-row due' : 'read-row'} onClick={onRead}><span>{label}</span>{value}</button>
  );
}
