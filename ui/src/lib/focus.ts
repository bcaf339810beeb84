// Where the focus goes when what had it is taken away: back to what opened it, or to the title of what it stood in.
import { useEffect, useState } from 'preact/hooks';

const focusable = (e: Element | null): e is HTMLElement => e instanceof HTMLElement && e.isConnected && e !== document.body && !e.closest('[inert]');

/** The title of the page or of a part of it, as a place for the focus. */
function toTitle(of: Element | null): void {
  const title = of?.querySelector<HTMLElement>('h1, h2') ?? document.querySelector<HTMLElement>('main h1');
  if (!title) return;
  if (!title.hasAttribute('tabindex')) title.tabIndex = -1;
  title.focus({ preventScroll: true });
}

/** Only when nothing has it: a focus the maker put elsewhere stays there. */
export function focusAfter(opener: Element | null): void {
  // the page is drawn anew first: what opened it may be about to go as well
  setTimeout(() => {
    if (focusable(document.activeElement)) return;
    if (focusable(opener)) opener.focus();
    else toTitle(null);
  }, 0);
}

/** For what opens over or into the page and goes again: remembers what had the focus before. */
export function useFocusBack(): void {
  // looked up while it is drawn for the first time: what it holds may take the focus before any effect runs
  const [opener] = useState(() => document.activeElement);
  useEffect(() => () => focusAfter(opener), []);
}

/**
 * A button that goes with what it did (discarded, kept, put away) must not leave the keyboard at the top of
 * the document: the focus goes to the title of the section it stood in, or else of the page.
 */
export function keepFocus(): void {
  let at: Element | null = null;
  let sections: Element[] = [];
  document.addEventListener('focusin', (e) => {
    at = e.target as Element;
    sections = [];
    for (let s = at.closest('section'); s; s = s.parentElement?.closest('section') ?? null) sections.push(s);
  });
  new MutationObserver(() => {
    if (!at || at.isConnected || document.activeElement !== document.body) return;
    at = null;
    const [nearest = null] = sections.filter((s) => s.isConnected && s.querySelector('h2'));
    // whoever took it away may have a better place for it
    setTimeout(() => { if (document.activeElement === document.body) toTitle(nearest); }, 50);
  }).observe(document.getElementById('root')!, { childList: true, subtree: true });
}

/**
 * What arrives late (a forecast, odds) may push what has the focus out of the window, most of all at the top
 * of a page, where browsers do not hold the view. It is brought back, unless the maker scrolled away from it.
 */
export function keepInSight(): void {
  let wasInSight = false;
  const look = () => { wasInSight = inSight(document.activeElement); };
  addEventListener('scroll', look, { passive: true });
  document.addEventListener('focusin', look);
  new ResizeObserver(() => {
    const at = document.activeElement;
    if (wasInSight && focusable(at) && !inSight(at)) at.scrollIntoView({ block: 'nearest' });
    look();
  }).observe(document.body);
}

function inSight(e: Element | null): boolean {
  const box = e?.getBoundingClientRect();
  return Boolean(box && box.bottom > 0 && box.top < innerHeight);
}
