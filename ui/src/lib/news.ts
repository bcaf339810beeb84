// Another bench wrote something: the server says so, and what is on screen is asked for anew. One page of a browser listens for
// all of them: a stream holds a connection for as long as it is open, and a browser grants a server six, so that of seven open
// pages the last would wait for ever.
import { renewPages } from './kept';
import { answersChanged } from './live';

const NAME = 'evenpool-news';

/** For the life of the page. Where pages cannot agree who listens (no lock outside a secure context), each does for itself. */
export function listenForChanges(): void {
  if (!navigator.locks) return void listen(() => undefined);
  const others = new BroadcastChannel(NAME);
  others.addEventListener('message', answersChanged);
  let listens = false;
  const hold = (): Promise<never> => {
    listens = true;
    listen(() => others.postMessage('changed'));
    return new Promise<never>(() => undefined); // until the page is closed
  };
  void navigator.locks.request(NAME, { ifAvailable: true }, (lock) => {
    if (lock) return hold();
    // next in line: takes over when the page that listens is closed, and asks what it may have missed
    void navigator.locks.request(NAME, () => {
      answersChanged();
      return hold();
    });
    return undefined;
  });
  // the page that listens may be asleep while this one is looked at again
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible' && !listens) answersChanged();
  });
}

function listen(tell: () => void): void {
  const stream = new EventSource('/api/events');
  let lost = false;
  let heard = false;
  const changed = (): void => {
    answersChanged();
    tell();
  };
  stream.addEventListener('changed', changed);
  stream.addEventListener('open', () => {
    if (lost) {
      changed(); // the server is back: what happened meanwhile is not known here
      renewPages();
    }
    lost = false;
    heard = true;
  });
  stream.addEventListener('error', () => {
    lost = true;
    if (stream.readyState !== EventSource.CLOSED) return;
    if (heard) changed(); // refused now: why, a stream is not told, but a question is
    setTimeout(() => listen(tell), 5000);
  });
}
