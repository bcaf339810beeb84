// Whether this browser keeps the pages themselves, to open them while the computer is away: asks for the
// worker that does (src/worker) and says what became of it. Browsers lend it to encrypted pages alone, and
// to those of the very computer they run on.
import { useEffect, useState } from 'preact/hooks';

export type Kept = 'coming' | 'kept' | 'unencrypted' | 'unable';

let now: Kept = 'coming';
const watchers = new Set<() => void>();

function told(next: Kept): void {
  now = next;
  for (const tell of watchers) tell();
}

/** Once the page itself is there: what it needs first must not wait for what is kept for later. */
export function keepPages(): void {
  if (!isSecureContext) return told('unencrypted');
  if (!('serviceWorker' in navigator)) return told('unable');
  const ask = () => void navigator.serviceWorker.register('/worker.js').then(follow, () => told('unable'));
  if (document.readyState === 'complete') ask();
  else window.addEventListener('load', ask, { once: true });
}

function follow(registration: ServiceWorkerRegistration): void {
  if (registration.active) return told('kept');
  const worker = registration.installing ?? registration.waiting;
  worker?.addEventListener('statechange', () => {
    if (registration.active) told('kept');
    else if (worker.state === 'redundant') told('unable');
  });
}

/** The computer is back, perhaps with a newer program: its pages are kept before the next reload. */
export function renewPages(): void {
  if (now === 'kept') void navigator.serviceWorker.getRegistration().then((r) => r?.update()).catch(() => undefined);
}

export function useKept(): Kept {
  const [state, setState] = useState(now);
  useEffect(() => {
    const tell = () => setState(now);
    tell();
    watchers.add(tell);
    return () => void watchers.delete(tell);
  }, []);
  return state;
}
