// Every reading of a session in order; corrected ones stay, struck through; refused ones wait to be put right;
// of those that do not agree one is kept by a press.
import { useState } from 'preact/hooks';
import { holdsFor, type BenchReading } from '../lib/bench';
import { spoken } from '../lib/form';
import { drop } from '../lib/outbox';
import { Conflicts, Newer } from './Conflicts';
import { minutes } from '../lib/when';
import { Worded } from './Term';

const FEW = 8;

export function ReadingTable({ readings, onCorrect }: { readings: BenchReading[]; onCorrect: (r: BenchReading) => void }) {
  const [all, setAll] = useState(false);
  const refused = readings.filter((r) => r.state === 'refused');
  const rows = readings.filter((r) => r.state !== 'refused').sort((a, b) => b.minute - a.minute || a.code.localeCompare(b.code));
  if (!readings.length) return <p class="quiet">None yet. The first ones are due five minutes after lighting.</p>;
  return (
    <>
      {refused.map((r) => (
        <div key={r.id} class="refused" role="alert">
          <p><strong>{r.code}: {r.label} {r.typed}</strong> was refused: {spoken(r.refused)}</p>
          <p class="actions">
            {holdsFor(readings, r.corrects ?? '') ? <Newer refused={r} now={holdsFor(readings, r.corrects!)!} />
              : <button type="button" class="button small" onClick={() => onCorrect(r)}>Put it right</button>}
            <button type="button" class="button small quiet-button" onClick={() => void drop(r.id)}>Discard it</button>
          </p>
        </div>
      ))}
      <Conflicts readings={rows} />
      {rows.length > 0 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="Readings of this session">
          <table class="readings">
            <thead><tr><th scope="col">after</th><th scope="col">reading</th><th scope="col">value</th><th scope="col"><span class="unseen">correct</span></th></tr></thead>
            <tbody>
              {(all ? rows : rows.slice(0, FEW)).map((r) => (
                <tr key={r.id} class={r.corrected ? 'corrected' : ''}>
                  <td class="after">{minutes(r.minute)}</td>
                  <td><b>{r.code}</b> <Worded>{r.label}</Worded>{r.corrects && <span class="tag">correction</span>}{r.conflict && <span class="tag warn">conflict</span>}</td>
                  <td class="value">{r.corrected ? <s>{r.shown}</s> : r.shown}{r.state === 'waiting' && <span class="tag warn">not yet sent</span>}</td>
                  <td class="act">{!r.corrected && <button type="button" class="link" onClick={() => onCorrect(r)}>correct<span class="unseen"> {r.label} of {r.code} at {minutes(r.minute)}</span></button>}</td>
                </tr>
              ))}
            </tbody>
          </table>
          {rows.length > FEW && <button type="button" class="link" aria-expanded={all} onClick={() => setAll(!all)}>{all ? 'The latest only' : `All ${rows.length} readings`}</button>}
        </div>
      )}
    </>
  );
}
