// The frame of every page: a title that takes the focus on arrival, sections with their name in
// the margin, and the states a page can be in.
import type { ComponentChildren } from 'preact';
import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { Away } from '../lib/api';
import type { Answer } from '../lib/live';
import { useAges, useOld } from '../lib/old';
import { useTitle } from '../lib/router';
import { atTime } from '../lib/when';
import { TermMark } from './Term';

interface PageProps { title: string; over?: ComponentChildren; under?: ComponentChildren; children: ComponentChildren; class?: string }

let arrived = false; // the very first page keeps the browser's own focus

export function Page({ title, over, under, children, class: cls }: PageProps) {
  useTitle(title);
  const h1 = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    window.scrollTo(0, 0);
    if (arrived) h1.current?.focus({ preventScroll: true });
    arrived = true;
  }, []);
  return (
    <main id="main" class={cls ? `page ${cls}` : 'page'}>
      <header class="page-head">
        {over && <p class="page-over">{over}</p>}
        <h1 tabIndex={-1} ref={h1}>{title}</h1>
        {under && <div class="page-under">{under}</div>}
      </header>
      <OldNote />
      {children}
    </main>
  );
}

/** Set when something on the page is from before the computer went away. */
function OldNote() {
  const ages = useAges();
  if (!ages) return null;
  const [from, to] = [ages.oldest, ages.newest].map((at) => atTime(at, Date.now()));
  return <p class="old-note" role="status">{ages.waiting ? 'No answer yet' : 'No connection'}. Last known {from === to ? `at ${to}` : `between ${from} and ${to}`}.</p>;
}

interface SectionProps { title: string; id?: string; note?: ComponentChildren; children: ComponentChildren; wide?: boolean }

/** A ruled section: its name stands in the left margin at the desk, above at the bench. */
export function Section({ title, id, note, children, wide }: SectionProps) {
  const own = useId();
  return (
    <section class={wide ? 'section wide' : 'section'} id={id} aria-labelledby={own}>
      <div class="section-head">
        <div class="titled"><h2 id={own}>{title}</h2><TermMark of={title} /></div>
        {note && <div class="section-note">{note}</div>}
      </div>
      <div class="section-body">{children}</div>
    </section>
  );
}

export function Loading({ what = 'Reading' }: { what?: string }) {
  const [seconds, setSeconds] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => setSeconds((s) => s + 1), 1000);
    return () => clearInterval(timer);
  }, []);
  return (
    <p class="loading">
      <span class="loading-dot" aria-hidden="true" />
      <span role="status">{what}…{seconds >= 20 && ' This can take a minute or two; the rest of the page can be used meanwhile.'}</span>
      {seconds >= 4 && <span class="quiet" aria-hidden="true">{seconds} s</span>}
    </p>
  );
}

export function Failed({ error, retry }: { error: Error; retry: () => void }) {
  const away = error instanceof Away;
  return (
    <div class="failed" role="alert">
      <p><strong>{away ? 'The workshop computer does not answer.' : 'That did not work.'}</strong></p>
      <p>{away ? 'Check that it is on and in the same network. Nothing you typed is lost.' : error.message}</p>
      <button type="button" class="button" onClick={retry}>Try again</button>
    </div>
  );
}

export function Empty({ children, action }: { children: ComponentChildren; action?: ComponentChildren }) {
  return <div class="empty"><div>{children}</div>{action && <p class="actions">{action}</p>}</div>;
}

interface AwaitProps<T> {
  answer: Answer<T>;
  what?: string;
  /** Title meanwhile, where the whole page waits for the answer: it is a page all the same. */
  page?: string;
  children: (data: T) => ComponentChildren;
}

/** Shows the answer, or the state it is in. */
export function Await<T>({ answer, what, page, children }: AwaitProps<T>) {
  useOld(answer.old_at, answer.loading);
  if (answer.data) return <>{children(answer.data)}</>;
  const state = answer.error ? <Failed error={answer.error} retry={answer.reload} /> : <Loading what={what ?? 'Reading'} />;
  return page ? <Page title={page}>{state}</Page> : state;
}
