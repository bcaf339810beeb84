// Whether this browser keeps the pages themselves, to open them while the computer is away: asks for the
// worker that does (src/worker) and says what became of it. Browsers lend it to encrypted pages alone, and
// to those of the very computer they run on.
import { bell, useWatched } from './watch';

export type Kept = 'coming' | 'kept' | 'unencrypted' | 'unable';

let now: Kept = 'coming';
const changed = bell();

function told(next: Kept): void {
  now = next;
  changed.ring();
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

export const useKept = (): Kept => useWatched(changed, () => now);
