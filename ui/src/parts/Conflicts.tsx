// Readings of one candle, kind and moment that do not agree, as when two phones were away and both wrote: both are
// kept, and one press says which holds. And the second correction of one reading, put on the one that holds now.
import { inConflict, useOutbox, type BenchReading } from '../lib/bench';
import { serverNow } from '../lib/clock';
import { spoken } from '../lib/form';
import { newId } from '../lib/ids';
import { drop, outboxItems, put } from '../lib/outbox';
import { say } from '../lib/say';
import type { Conflict } from '../lib/types';
import { minutes } from '../lib/when';

export function Conflicts({ readings }: { readings: BenchReading[] }) {
  const conflicts = [...new Set(readings.flatMap((r) => r.conflict ?? []))];
  const session = readings[0]?.session_id;
  const late = useOutbox().filter((i) => i.refused && i.session_id === session && i.path.endsWith('/keep'));
  return (
    <>
      {late.map((i) => (
        <div key={i.id} class="refused" role="alert">
          <p><strong>{i.what}</strong> was refused: {spoken(i.refused)}</p>
          <p class="actions"><button type="button" class="button small quiet-button" onClick={() => void drop(i.id)}>Discard it</button></p>
        </div>
      ))}
      {conflicts.map((c) => <OneConflict key={c.readings.map((r) => r.id).join()} conflict={c} members={inConflict(readings, c)} />)}
    </>
  );
}

function OneConflict({ conflict: c, members }: { conflict: Conflict; members: BenchReading[] }) {
  const counts = members.find((m) => m.id === c.counts)?.shown;
  return (
    <div class="refused conflict" role="group" aria-label={`Conflict: ${c.label} of ${c.code}`}>
      <p>
        <strong>{c.code}: {c.label} at {minutes(c.minute)} was written down as {members.map((m) => m.shown).join(' and as ')}.</strong> Both are kept. Which
        one holds? {counts && <>Until you say, {counts} counts, {c.kind === 'mass' ? 'the last weighing' : 'to be on the safe side'}.</>}
      </p>
      <p class="actions">
        {members.map((m) => <button key={m.id} type="button" class="button small" onClick={() => void keep(m, members)}>Keep {m.shown}</button>)}
      </p>
    </div>
  );
}

async function keep(kept: BenchReading, members: BenchReading[]): Promise<void> {
  const over = members.filter((m) => m.id !== kept.id).map((m) => m.id);
  const outcome = await put({
    id: newId(serverNow()), id_as: 'request_id', path: `/api/readings/${kept.id}/keep`, body: { over }, session_id: kept.session_id,
    typed_at: serverNow(), what: `${kept.code}: keep ${kept.label} ${kept.shown}`,
  });
  if (outcome.kind !== 'refused') say(`${kept.code}: ${kept.label} ${kept.shown} holds.`);
}

/** Two corrected the same reading: the later one may still be put in the place of what holds now. */
export function Newer({ refused, now }: { refused: BenchReading; now: BenchReading }) {
  const replace = async () => {
    const item = outboxItems().find((i) => i.id === refused.id);
    if (!item) return;
    const { seq: _, refused: __, ...rest } = item;
    await put({ ...rest, id: newId(serverNow()), body: { ...item.body, corrects: now.id } }, [refused.id]);
  };
  return <button type="button" class="button small" onClick={() => void replace()}>Replace {now.shown} by {refused.shown}</button>;
}
