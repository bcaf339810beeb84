// Addresses of the pages: plain paths; the server answers unknown ones with index.html.
import { useEffect } from 'preact/hooks';
import { bell, useWatched } from './watch';

export interface Place { path: string; query: URLSearchParams }

const moved = bell();
window.addEventListener('popstate', moved.ring);
let last: Place & { href: string } | null = null;

/** The same place is the same object. */
function here(): Place {
  const { href } = location;
  if (last?.href !== href) last = { href, path: location.pathname.replace(/\/+$/, '') || '/', query: new URLSearchParams(location.search) };
  return last;
}

export function go(to: string, replace = false): void {
  if (replace) history.replaceState(null, '', to);
  else history.pushState(null, '', to);
  moved.ring();
}

export const usePlace = (): Place => useWatched(moved, here);

/** Ordinary links stay inside the page unless the maker asks for a new tab. */
export function takeLinks(): void {
  document.addEventListener('click', (e) => {
    if (e.defaultPrevented || e.button !== 0 || e.metaKey || e.ctrlKey || e.shiftKey || e.altKey) return;
    const a = (e.target as Element | null)?.closest?.('a[href]') as HTMLAnchorElement | null;
    if (!a || a.target || a.hasAttribute('download') || a.origin !== location.origin) return;
    if (a.pathname === location.pathname && a.search === location.search && a.hash) return;
    e.preventDefault();
    go(a.pathname + a.search + a.hash);
  });
}

/** "/recipes/:id" against a path; null when it does not fit. */
export function match(pattern: string, path: string): Record<string, string> | null {
  const p = pattern.split('/');
  const q = path.split('/');
  if (p.length !== q.length) return null;
  const out: Record<string, string> = {};
  for (let i = 0; i < p.length; i++) {
    const part = p[i]!;
    if (part.startsWith(':')) out[part.slice(1)] = decodeURIComponent(q[i]!);
    else if (part !== q[i]) return null;
  }
  return out;
}

export function useTitle(title: string): void {
  useEffect(() => {
    document.title = title ? `${title} · Evenpool` : 'Evenpool';
  }, [title]);
}
