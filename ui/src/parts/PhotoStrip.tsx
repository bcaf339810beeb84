// Photos in the order of time, each with its minute and its reading; one of them large on request.
import { useState } from 'preact/hooks';
import { Refused, postJson } from '../lib/api';
import type { OutItem } from '../lib/db';
import { spoken } from '../lib/form';
import { newId } from '../lib/ids';
import { answersChanged } from '../lib/live';
import { drop } from '../lib/outbox';
import type { Photo } from '../lib/photo';
import { minutes } from '../lib/when';
import { Tape, type Tick } from './Tape';

/** What a photo is called for: a reading's name and value; '' when it was taken with none. */
export type ReadingText = (id: string) => string;

interface Shown { id: string; code: string; minute: number; alt: string; reading: string; src: string; photo: Photo | null; state: 'kept' | 'waiting' | 'refused'; refused: string }

const fromPhoto = (p: Photo, text: ReadingText): Shown => ({
  id: p.id, code: p.code, minute: p.minute, alt: p.alt ?? '', reading: p.reading_id ? text(p.reading_id) : '', src: `/api/photos/${p.id}?size=small`, photo: p, state: 'kept', refused: '',
});

/** Photos still in the outbox, from what was typed with them. */
export function waitingPhotos(items: OutItem[], session: { id: string; lit_at: string }, code: (candle: string) => string, text: ReadingText): Shown[] {
  return items.filter((i) => i.path === '/api/photos' && i.session_id === session.id).map((i) => ({
    id: i.id, code: code(String(i.body.candle)), alt: String(i.body.alt ?? ''), reading: i.body.reading ? text(String(i.body.reading)) : '',
    minute: i.body.minute !== undefined ? Number(i.body.minute) : Math.max(0, (Date.parse(String(i.body.at)) - Date.parse(session.lit_at)) / 60000),
    src: `data:image/jpeg;base64,${String(i.body.jpeg)}`, photo: null, state: i.refused ? 'refused' : 'waiting', refused: i.refused,
  }));
}

const described = (s: Shown): string => s.alt || [`Candle ${s.code}, ${minutes(s.minute)} after lighting`, s.reading].filter(Boolean).join(', ');

/** Whole hours along the tape, so that a tick can be placed by eye. */
const hours = (end: number): Tick[] => Array.from({ length: Math.floor(end / 60) + 1 }, (_, h) => ({ x: 60 * h, label: h ? `${h} h` : 'lit' }));

interface StripProps { photos: Photo[]; waiting?: Shown[]; text: ReadingText; span?: number; label: string }

export function PhotoStrip({ photos, waiting = [], text, span, label }: StripProps) {
  const [open, setOpen] = useState('');
  const sent = new Set(photos.map((p) => p.id));
  const all = [...photos.map((p) => fromPhoto(p, text)), ...waiting.filter((w) => !sent.has(w.id))].sort((a, b) => a.minute - b.minute || a.code.localeCompare(b.code));
  const chosen = all.find((s) => s.id === open);
  const end = Math.max(span ?? 0, ...all.map((s) => s.minute));
  return (
    <>
      {span !== undefined && all.length > 1 && (
        <Tape from={0} to={end} ticks={[...hours(end), ...all.map((s) => ({ x: s.minute, strong: s === chosen, done: true }))]} label={`Photos at ${all.map((s) => minutes(s.minute)).join(', ')}`} />
      )}
      <ol class="photo-strip" aria-label={label}>
        {all.map((s) => (
          <li key={s.id}>
            <button type="button" class="photo-small" aria-expanded={s === chosen} onClick={() => setOpen(s === chosen ? '' : s.id)}>
              <img src={s.src} alt={described(s)} loading="lazy" />
              <span class="photo-when"><b>{s.code}</b> {minutes(s.minute)}</span>
              {s.reading && <span class="photo-reading">{s.reading}</span>}
            </button>
            {s.state === 'waiting' && <span class="tag warn">not yet sent</span>}
            {s.state === 'refused' && <p class="field-problem">refused: {spoken(s.refused)} <button type="button" class="link" onClick={() => void drop(s.id)}>discard it</button></p>}
          </li>
        ))}
      </ol>
      {chosen && <Large key={chosen.id} shown={chosen} onClose={() => setOpen('')} />}
    </>
  );
}

function Large({ shown, onClose }: { shown: Shown; onClose: () => void }) {
  const [alt, setAlt] = useState(shown.alt);
  const [sure, setSure] = useState(false);
  const [problem, setProblem] = useState('');
  const p = shown.photo;
  const write = async (what: 'describe' | 'take-out', body: object) => {
    try {
      await postJson(`/api/photos/${shown.id}/${what}`, { request_id: newId(), ...body });
      answersChanged();
      onClose();
    } catch (e) {
      setProblem(e instanceof Refused ? spoken(e.message) : e instanceof Error ? e.message : String(e));
    }
  };
  return (
    <figure class="photo-large">
      <img src={p ? `/api/photos/${p.id}` : shown.src} width={p?.width_px} height={p?.height_px} alt={described(shown)} />
      <figcaption>
        <b>{shown.code}</b>, {minutes(shown.minute)} after lighting{shown.reading && <>, {shown.reading}</>}{shown.alt && <>: {shown.alt}</>}
      </figcaption>
      {p && (
        <form class="photo-words" onSubmit={(e) => { e.preventDefault(); void write('describe', { alt: alt.trim() }); }}>
          <label class="field-label" for={`alt-${p.id}`}>What it shows</label>
          <div class="field-box"><input id={`alt-${p.id}`} maxLength={300} value={alt} onInput={(e) => setAlt(e.currentTarget.value)} /></div>
          {problem && <p class="field-problem" role="alert">{problem}</p>}
          <p class="actions">
            {alt.trim() !== shown.alt && alt.trim() && <button type="submit" class="button">Keep the words</button>}
            <a class="button quiet-button" href={`/api/photos/${p.id}`} download={`${shown.code}-${Math.round(shown.minute)}-min.jpg`}>Save the picture</a>
            {!sure && <button type="button" class="link" onClick={() => setSure(true)}>Take it out…</button>}
            <button type="button" class="link" onClick={onClose}>Close</button>
          </p>
          {sure && (
            <p class="notice warn">It is shown nowhere any more; the book keeps it. <button type="button" class="button small" onClick={() => void write('take-out', {})}>Take the photo out</button> <button type="button" class="link" onClick={() => setSure(false)}>Leave it</button></p>
          )}
        </form>
      )}
    </figure>
  );
}
