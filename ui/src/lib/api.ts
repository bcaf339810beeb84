// The one way to the HTTP door. A refusal carries the field it is about; "away" means no answer came.
import { syncClock } from './clock';
import { bell } from './watch';

/** One mistake of what was typed: which field, and a sentence with value and range. */
export interface Mistake { field: string; text: string }

/** The door said no: show `message` at `field`, and whatever else was wrong at its own field. */
export class Refused extends Error {
  constructor(readonly http: number, readonly status: string, readonly field: string, text: string, readonly more: Mistake[] = []) {
    super(text);
  }

  get mistakes(): Mistake[] {
    return [{ field: this.field, text: this.message }, ...this.more];
  }
}

/** No answer: server stopped, network gone, or too slow. What was typed must be kept. */
export class Away extends Error {
  constructor() {
    super('The workshop computer does not answer.');
  }
}

/** Given up by the page itself, because something newer was asked: nobody need be told. */
export class Dropped extends Error {}

type Query = Record<string, string | number | boolean | null | undefined>;

export function withQuery(path: string, query: Query): string {
  const q = new URLSearchParams();
  for (const [key, value] of Object.entries(query)) {
    if (value !== undefined && value !== null && value !== '') q.set(key, String(value));
  }
  const text = q.toString();
  return text ? `${path}?${text}` : path;
}

export const getJson = <T>(path: string, wait_ms = 15000, drop?: AbortSignal): Promise<T> => call<T>('GET', path, undefined, wait_ms, drop);

export const postJson = <T>(path: string, body: object, wait_ms = 20000): Promise<T> =>
  call<T>('POST', path, body, wait_ms);

async function call<T>(method: string, path: string, body: object | undefined, wait_ms: number, drop?: AbortSignal): Promise<T> {
  const asked = performance.now();
  const request: RequestInit = { method, signal: AbortSignal.timeout(wait_ms), headers: { Accept: 'application/json' } };
  if (body) {
    request.headers = { Accept: 'application/json', 'Content-Type': 'application/json' };
    request.body = JSON.stringify(body);
  }
  if (drop) {
    // together by hand: AbortSignal.any is younger than the browsers these pages are made for
    const either = new AbortController();
    drop.addEventListener('abort', () => either.abort());
    request.signal?.addEventListener('abort', () => either.abort());
    request.signal = either.signal;
  }
  let response: Response;
  let text: string;
  try {
    response = await fetch(path, request);
    text = await response.text();
  } catch {
    if (drop?.aborted) throw new Dropped();
    setAway(true);
    throw new Away();
  }
  setAway(false);
  const answer = parse(text);
  if (!response.ok) throw refusal(response.status, answer);
  const now = timeIn(answer);
  if (now !== null) syncClock(now, (asked + performance.now()) / 2);
  return answer as T;
}

/** The server's time, where an answer tells it: `now`, or the minute of a session still open. */
function timeIn(answer: unknown): number | null {
  const a = answer as { now?: string; open?: boolean; lit_at?: string; minute?: number } | null;
  if (typeof a?.now === 'string') return Date.parse(a.now);
  if (a?.open && a.lit_at && typeof a.minute === 'number') return Date.parse(a.lit_at) + a.minute * 60000;
  return null;
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

function refusal(http: number, answer: unknown): Refused {
  const error = (answer as { error?: { status?: string; field?: string; text?: string; more?: Mistake[] } } | null)?.error;
  return new Refused(http, error?.status ?? '', error?.field ?? '', error?.text ?? `The door answered ${http}.`, error?.more);
}

let away = false;
export const awayChanged = bell();

function setAway(now: boolean): void {
  if (now === away) return;
  away = now;
  awayChanged.ring();
}

export const isAway = (): boolean => away;
