// What stands round every page: the name, the ways to go, and whether the server hears us.
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { awayChanged, isAway } from '../lib/api';
import { useOutbox } from '../lib/bench';
import { spoken } from '../lib/form';
import { drop, flush, hangs } from '../lib/outbox';
import { useLine } from '../lib/say';
import { useWatched } from '../lib/watch';
import { plural } from '../lib/when';
import { DueWatch } from './DueWatch';
import { TermNote } from './Term';

const WAYS = [
  { href: '/', label: 'Today', of: ['', 'sessions', 'light'], d: 'M12 3c3 4.200 5 7 5 10a5 5 0 0 1-10 0c0-3 2-5.800 5-10zM12 13v5' },
  { href: '/recipes', label: 'Recipes', of: ['recipes'], d: 'M6 3h12v18H6zM9 8h6M9 12h6M9 16h3' },
  { href: '/pours', label: 'Pours', of: ['pours'], d: 'M5 4h11l-1 7H6zM16 6h3v3h-3.400M8 14v7h5v-7' },
  { href: '/shelf', label: 'Shelf', of: ['shelf'], d: 'M3 11h18M3 20h18M6 11V5h4v6M14 11V7h4v4M5 20v-5h5v5M13 20v-4h6v4' },
  { href: '/settings', label: 'Settings', of: ['settings'], d: 'M4 7h9M17 7h3M4 17h3M11 17h9M13 5v4h4V5zM7 15v4h4v-4z' },
];

/** `open` once the workshop answers: only then is there anything that could be due. */
export function Shell({ path, open, children }: { path: string; open: boolean; children: ComponentChildren }) {
  const room = path.split('/')[1] ?? '';
  return (
    <>
      <a class="skip" href="#main">To the page</a>
      <header class="top">
        <a class="wordmark" href="/" aria-label="Evenpool, today">Even<span>pool</span></a>
        <nav class="ways" aria-label="Pages">
          {WAYS.map((w) => (
            <a key={w.href} href={w.href} aria-current={w.of.includes(room) ? 'page' : undefined}>
              <svg viewBox="0 0 24 24" aria-hidden="true"><path d={w.d} /></svg>
              <span>{w.label}</span>
            </a>
          ))}
        </nav>
        <Waiting />
      </header>
      {open && <DueWatch here={room === 'sessions' ? (path.split('/')[2] ?? '') : ''} />}
      {children}
      <Said />
      <TermNote />
    </>
  );
}

/** What changed without the page changing. */
function Said() {
  const { line, turn } = useLine();
  return <div class="unseen said" role="status"><p key={turn}>{line}</p></div>;
}

/** Things typed and not yet sent, or refused: never out of sight. */
function Waiting() {
  const items = useOutbox();
  const away = useWatched(awayChanged, isAway);
  const [open, setOpen] = useState(false);
  if (!items.length && !away) return <div class="waiting" role="status" />;
  const refused = items.filter((i) => i.refused).length;
  const waiting = items.length - refused;
  const text = [away && 'no connection', waiting && `${waiting} not yet sent`, refused && `${refused} refused`].filter(Boolean).join(', ');
  return (
    <div class="waiting on" role="status">
      <button type="button" class="waiting-button" aria-expanded={open} onClick={() => setOpen(!open)}>{text}</button>
      {open && (
        <div class="waiting-list">
          {away && <p>The workshop computer does not answer. What you type at the bench is kept here and sent, in order, once it is back.</p>}
          <ul>
            {items.map((i) => (
              <li key={i.id}>
                {i.what} {i.refused ? <><span class="field-problem">refused: {spoken(i.refused)}</span> <a href={i.lit ? `/light?again=${i.id}` : `/sessions/${i.session_id}`} onClick={() => setOpen(false)}>put it right</a> <button type="button" class="link" onClick={() => void drop(i.id)}>discard<span class="unseen"> {i.what}</span></button></> : <span class="tag warn">{hangs(i) ? 'waits for its lighting' : 'not yet sent'}</span>}
              </li>
            ))}
          </ul>
          {waiting > 0 && <p class="actions"><button type="button" class="button small" onClick={() => void flush()}>Send {plural(waiting, 'entry', 'entries')} now</button></p>}
        </div>
      )}
    </div>
  );
}
