// Help beside a word of the trade: the word itself, dotted, or a mark beside a label or a title that names it.
// It opens a note with the meaning; Escape, its button, Tab or a tap elsewhere closes it, and the focus goes back.
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks';
import { useFirst } from '../lib/first';
import { focusAfter } from '../lib/focus';
import { pieces, termIn, type Term } from '../lib/terms';
import { bell, useWatched } from '../lib/watch';

interface Opened { term: Term; by: HTMLElement }

let opened: Opened | null = null;
const changed = bell();

function open(next: Opened | null): void {
  opened = next;
  changed.ring();
}

const useOpened = (): Opened | null => useWatched(changed, () => opened);

function Opener({ term, cls, label, children }: { term: Term; cls: string; label?: string; children: string }) {
  const now = useOpened();
  const ref = useRef<HTMLButtonElement>(null);
  // it goes, and what it explains with it
  useEffect(() => () => { if (opened && opened.by === ref.current) open(null); }, []);
  return (
    <button ref={ref} type="button" class={cls} aria-haspopup="dialog" aria-expanded={now !== null && now.by === ref.current} aria-label={label}
      onClick={(e) => open(opened?.by === e.currentTarget ? null : { term, by: e.currentTarget })}>{children}</button>
  );
}

function Word({ term, children }: { term: Term; children: string }) {
  const { ref, first } = useFirst(term.word);
  return <span ref={ref}>{first ? <Opener term={term} cls="term">{children}</Opener> : children}</span>;
}

/** A text with help at the words of the trade in it. */
export function Worded({ children }: { children: string }) {
  return <>{pieces(children).map((p, i) => (p.term ? <Word key={`${i}${p.text}`} term={p.term}>{p.text}</Word> : p.text))}</>;
}

/** The mark beside a label or a title, which cannot be pressed itself. */
export function TermMark({ of }: { of: string }) {
  const term = termIn(of);
  return term && <Mark key={term.word} term={term} />;
}

function Mark({ term }: { term: Term }) {
  const { ref, first } = useFirst(term.word);
  return <span ref={ref} class="term-mark-place">{first && <Opener term={term} cls="term-mark" label={`${term.word}: what it means`}>?</Opener>}</span>;
}

const EDGE_PX = 12;

/** Under the word, or above it where there is no room below; on a phone the style sheet puts it at the foot of the window. */
function place(note: HTMLElement, by: HTMLElement): void {
  const at = by.getBoundingClientRect();
  const below = at.bottom + note.offsetHeight + EDGE_PX < window.innerHeight;
  note.style.left = `${Math.max(EDGE_PX, Math.min(at.left, document.documentElement.clientWidth - note.offsetWidth - EDGE_PX))}px`;
  note.style.top = `${Math.max(EDGE_PX, below ? at.bottom : at.top - note.offsetHeight)}px`;
}

/** Stands once, at the end of every page. */
export function TermNote() {
  const now = useOpened();
  return now && <Note key={now.term.word} {...now} />;
}

function Note({ term, by }: Opened) {
  const ref = useRef<HTMLDivElement>(null);
  const close = () => {
    open(null);
    if (by.isConnected) by.focus();
    else focusAfter(null);
  };
  useLayoutEffect(() => {
    const note = ref.current!;
    const again = () => place(note, by);
    again();
    note.focus({ preventScroll: true });
    const away = (e: Event) => { if (!note.contains(e.target as Node) && !by.contains(e.target as Node)) open(null); };
    document.addEventListener('pointerdown', away);
    window.addEventListener('scroll', again, { passive: true, capture: true });
    window.addEventListener('resize', again);
    return () => {
      document.removeEventListener('pointerdown', away);
      window.removeEventListener('scroll', again, { capture: true });
      window.removeEventListener('resize', again);
    };
  }, []);
  const onKey = (e: KeyboardEvent) => {
    // what follows in the page is what follows the word
    if (e.key !== 'Escape' && !(e.key === 'Tab' && (e.shiftKey || document.activeElement?.tagName === 'BUTTON'))) return;
    e.preventDefault();
    e.stopPropagation();
    close();
  };
  return (
    <div ref={ref} class="term-note" role="dialog" aria-modal="false" aria-labelledby="term-word" aria-describedby="term-means" tabIndex={-1} onKeyDown={onKey}>
      <p class="term-word" id="term-word">{term.word}</p>
      <p id="term-means">{sentence(term.means)}</p>
      <button type="button" class="button small quiet-button" onClick={close}>Close</button>
    </div>
  );
}

const sentence = (s: string): string => `${s.charAt(0).toUpperCase()}${s.slice(1)}.`;
