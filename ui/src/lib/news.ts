// Another bench wrote something: the server says so, and what is on screen is asked for anew. One page of a browser listens for
// all of them: a stream holds a connection for as long as it is open, and a browser grants a server six, so that of seven open
// pages the last would wait for ever.
import { renewPages } from './kept';
import { answersChanged } from './live';

const NAME = 'evenpool-news';

/** For the life of the page. Where pages cannot agree who listens (no lock outside a secure context), each does for itself. */
export function listenForChanges(): void {
  if (!navigator.locks) return void listen(() => undefined, false);
  const others = new BroadcastChannel(NAME);
  others.addEventListener('message', answersChanged);
  let listens = false;
  const hold = (lost: boolean): Promise<never> => {
    listens = true;
    listen(() => others.postMessage('changed'), lost);
    return new Promise<never>(() => undefined); // until the page is closed
  };
  void navigator.locks.request(NAME, { ifAvailable: true }, (lock) => {
    if (lock) return hold(false);
    // next in line: takes over when the page that listens is closed; what was written in between nobody has heard
    void navigator.locks.request(NAME, () => hold(true));
    return undefined;
  });
  // the page that listens may be asleep while this one is looked at again
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible' && !listens) answersChanged();
  });
}

/** `lost`: for a while nobody listened, so that once the stream stands every page asks what it may have missed. */
function listen(tell: () => void, lost: boolean): void {
  const stream = new EventSource('/api/events');
  let heard = false;
  const changed = (): void => {
    answersChanged();
    tell();
  };
  stream.addEventListener('changed', changed);
  stream.addEventListener('open', () => {
    if (lost) {
      changed();
      renewPages(); // the server may be a newer one
    }
    lost = false;
    heard = true;
  });
  stream.addEventListener('error', () => {
    lost = true;
    if (stream.readyState !== EventSource.CLOSED) return;
    if (heard) changed(); // refused now: why, a stream is not told, but a question is
    setTimeout(() => listen(tell, true), 5000);
  });
}
