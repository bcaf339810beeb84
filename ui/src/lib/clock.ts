// The server's time, carried forward by the monotonic clock of this page: a phone with a wrong
// clock, or one that slept, still shows the minute the candle has really been lit. How far the phone's own
// clock is off outlives the page, which may be opened again while the server is away.
// A server run with a sped-up clock (for trying things out) is followed at its own pace.
import { useEffect, useState } from 'preact/hooks';

interface Sync { server: number; at: number; wall: number }
const KEY = 'clock:ahead';
const SLEPT_MS = 5000;

let last: Sync | null = null;
let pace = 1;
let lastPace = 1;

/** `server` in ms; `at` is the reading of performance.now() the server's answer belongs to. */
export function syncClock(server: number, at: number): void {
  if (!Number.isFinite(server)) return;
  if (last && at - last.at > 1500) {
    const seen = (server - last.server) / (at - last.at);
    // one odd stretch is a page that slept; two alike are a clock that runs at another pace
    const steady = Math.abs(seen - lastPace) <= 0.2 * Math.max(seen, lastPace);
    pace = steady && (seen > 1.5 || seen < 0.5) ? seen : 1;
    lastPace = seen;
  }
  if (last && at - last.at <= 1500) return;
  last = { server, at, wall: Date.now() - (performance.now() - at) };
  localStorage.setItem(KEY, String(Math.round(server - last.wall)));
}

export function serverNow(): number {
  if (!last) return Date.now() + (Number(localStorage.getItem(KEY)) || 0);
  // the monotonic clock of many devices stands still while they sleep, the other one does not
  const [awake, wall] = [performance.now() - last.at, Date.now() - last.wall];
  return last.server + (wall - awake > SLEPT_MS ? wall : awake) * pace;
}

/** Re-renders every `every_ms` with the server's time. */
export function useNow(every_ms = 1000): number {
  const [now, setNow] = useState(serverNow);
  useEffect(() => {
    const tick = () => setNow(serverNow());
    tick();
    const timer = setInterval(tick, every_ms);
    document.addEventListener('visibilitychange', tick);
    return () => {
      clearInterval(timer);
      document.removeEventListener('visibilitychange', tick);
    };
  }, [every_ms]);
  return now;
}
