// Taking a photo of a candle: the phone's camera or its pictures, a few words on what it shows, and into the
// outbox with it.
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import type { BenchReading } from '../lib/bench';
import { serverNow } from '../lib/clock';
import { spoken } from '../lib/form';
import { newId } from '../lib/ids';
import { put } from '../lib/outbox';
import { jpegOf } from '../lib/photo';
import type { Session, SessionCandle } from '../lib/types';
import { minutes } from '../lib/when';

interface Taken { jpeg: string; at: number }

export function PhotoTake({ session, candle, readings }: { session: Session; candle: SessionCandle; readings: BenchReading[] }) {
  const [taken, setTaken] = useState<Taken | null>(null);
  const [said, setSaid] = useState('');
  const [problem, setProblem] = useState('');
  const choose = async (input: HTMLInputElement) => {
    const file = input.files?.[0];
    const at = serverNow();
    input.value = '';
    if (!file) return;
    setProblem('');
    setSaid('');
    try {
      setTaken({ jpeg: await jpegOf(file), at });
    } catch (e) {
      setProblem(e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <div class="photo-take">
      {!taken && (
        <label class="button small chip">
          Photo<span class="unseen"> of {candle.code}</span>
          <input type="file" accept="image/jpeg,image/png,image/webp" onChange={(e) => void choose(e.currentTarget)} />
        </label>
      )}
      {problem && <p class="field-problem" role="alert">{problem}</p>}
      <p class="unseen" role="status">{said}</p>
      {taken && <Keep taken={taken} session={session} candle={candle} readings={readings} onDone={(text) => { setTaken(null); setSaid(text); }} />}
    </div>
  );
}

interface KeepProps { taken: Taken; session: Session; candle: SessionCandle; readings: BenchReading[]; onDone: (said: string) => void }

function Keep({ taken, session, candle, readings, onDone }: KeepProps) {
  const id = useId();
  const box = useRef<HTMLTextAreaElement>(null);
  const own = readings.filter((r) => r.candle_id === candle.candle_id && !r.corrected && r.state !== 'refused').sort((a, b) => b.minute - a.minute).slice(0, 8);
  const now = (taken.at - Date.parse(session.lit_at)) / 60000;
  const [alt, setAlt] = useState('');
  const [reading, setReading] = useState(own.find((r) => Math.abs(r.minute - now) < 5)?.id ?? '');
  const [minute, setMinute] = useState('');
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  useEffect(() => box.current?.focus(), []);

  const keep = async () => {
    setBusy(true);
    const body: Record<string, unknown> = { session: session.id, candle: candle.candle_id, jpeg: taken.jpeg };
    if (alt.trim()) body.alt = alt.trim();
    if (reading) body.reading = reading;
    if (minute.trim()) body.minute = minute.trim();
    else body.at = new Date(Math.max(taken.at, Date.parse(session.lit_at))).toISOString();
    const outcome = await put({ id: newId(serverNow()), id_as: 'id', path: '/api/photos', body, session_id: session.id, typed_at: taken.at, what: `${candle.code}: photo`, heavy: true });
    setBusy(false);
    if (outcome.kind === 'refused') setProblem(outcome.mistakes.map((m) => spoken(m.text)).join(' '));
    else onDone(`Photo of ${candle.code} ${outcome.kind === 'sent' ? 'saved' : 'kept, not yet sent'}.`);
  };

  return (
    <form class="photo-keep sheet" aria-label={`Photo of ${candle.code}`} onSubmit={(e) => { e.preventDefault(); void keep(); }}>
      <img src={`data:image/jpeg;base64,${taken.jpeg}`} alt={`The photo just taken of ${candle.code}`} />
      <div class="field">
        <label class="field-label" for={`${id}-alt`}>What it shows<span class="field-optional"> optional</span></label>
        <div class="field-box"><textarea ref={box} id={`${id}-alt`} rows={2} maxLength={300} value={alt} onInput={(e) => setAlt(e.currentTarget.value)} /></div>
        <p class="field-help">For whoever cannot see it: pool nearly at the wall, some hang-up on the left.</p>
      </div>
      {own.length > 0 && (
        <div class="field">
          <label class="field-label" for={`${id}-reading`}>Taken with</label>
          <div class="field-box">
            <select id={`${id}-reading`} value={reading} onChange={(e) => setReading(e.currentTarget.value)}>
              <option value="">no reading in particular</option>
              {own.map((r) => <option key={r.id} value={r.id}>{r.label} {r.shown} at {minutes(r.minute)}</option>)}
            </select>
          </div>
        </div>
      )}
      <div class="field">
        <label class="field-label" for={`${id}-minute`}>Minutes after lighting<span class="field-optional"> optional</span></label>
        <div class="field-box with-unit"><input id={`${id}-minute`} inputMode="decimal" placeholder={Math.max(0, now).toFixed(0)} value={minute} onInput={(e) => setMinute(e.currentTarget.value)} /><span class="field-unit">min</span></div>
        <p class="field-help">Now, when left empty. Fill it in for a picture taken earlier.</p>
      </div>
      {problem && <p class="field-problem" role="alert">{problem}</p>}
      <p class="actions">
        <button type="submit" class="button main" disabled={busy}>Keep the photo</button>
        <button type="button" class="button quiet-button" onClick={() => onDone('')}>Leave it</button>
      </p>
    </form>
  );
}
