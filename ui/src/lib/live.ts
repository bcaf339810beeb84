// Answers of the door as hooks: shown at once when known, fetched anew when something was written.
import { useCallback, useEffect, useState } from 'preact/hooks';
import { Away, Refused, getJson } from './api';
import { db } from './db';
import { bell } from './watch';

export interface Answer<T> {
  data: T | null;
  error: Error | null;
  loading: boolean;
  /** Set when the answer is an old one because the server is away, or silent so far: when it was given. */
  old_at: number | null;
  reload: () => void;
}

interface Kept { answer: unknown; at: number; version: number }

const memory = new Map<string, Kept>();
const changed = bell();
let version = 0;

/** Something was written: every answer on screen is asked for again. */
export function answersChanged(): void {
  version++;
  changed.ring();
}

/** Answers of the burn engine: large, slow to make, and never stored in the browser. */
const computed = (path: string): boolean => /\/(forecast|odds|plan|why)(\?|$)/.test(path);
const COMPUTED_WAIT_MS = 300000;
const BUSY_WAIT_MS = 2500;
const PATIENCE_MS = 3000;
const LEAVE_MS = 200;
export const KEEP_DAYS = 30;

let silent = false; // a question has waited in vain, and nothing was answered since

async function remember(path: string, answer: unknown, asked = version): Promise<void> {
  if ((memory.get(path)?.version ?? 0) > asked) return; // overtaken by an answer to a later question
  memory.set(path, { answer, at: Date.now(), version: asked });
  if (memory.size > 60) memory.delete(memory.keys().next().value!);
  if (!computed(path)) await (await db()).put('answers', { path, at: Date.now(), answer }).catch(() => undefined);
}

/** An answer that came inside another one: known from now on, with or without a connection. */
export const seed = (path: string, answer: unknown): void => void remember(path, answer);

/** Asked for before it is needed, so that the next page opens when the server is gone by then. */
export function ahead(path: string): void {
  if (memory.get(path)?.version === version) return;
  void ask(path).catch(() => undefined);
}

/** A question on its way: whoever puts the same one meanwhile waits for its answer too. */
interface Flight { version: number; askers: number; answer: Promise<unknown>; drop: AbortController }
const flights = new Map<string, Flight>();

/** `gone` says that this asker no longer wants to know; a forecast nobody waits for is given up. */
function ask(path: string, gone?: AbortSignal): Promise<unknown> {
  const going = flights.get(path);
  const flight = going?.version === version ? going : depart(path);
  const leave = () => {
    if (--flight.askers === 0) setTimeout(() => giveUp(path, flight), LEAVE_MS);
  };
  const over = () => gone?.removeEventListener('abort', leave);
  flight.askers++;
  gone?.addEventListener('abort', leave);
  flight.answer.then(over, over);
  return flight.answer;
}

/** The server stops burning candles nobody looks at. Not at once: what leaves one place of a page may come up in another. */
function giveUp(path: string, flight: Flight): void {
  if (flight.askers > 0) return;
  if (flights.get(path) === flight) flights.delete(path);
  flight.drop.abort();
}

function depart(path: string): Flight {
  const drop = new AbortController();
  const asked = version;
  const answer = (computed(path) ? getJson(path, COMPUTED_WAIT_MS, drop.signal) : getJson(path)).then(async (data) => {
    silent = false;
    await remember(path, data, asked);
    return data;
  });
  const flight = { version, askers: 0, answer, drop };
  flights.set(path, flight);
  const over = () => { if (flights.get(path) === flight) flights.delete(path); };
  answer.then(over, over);
  return flight;
}

/** This device was shut out: what it was told before is not its to show any longer. What was typed stays. */
async function forget(): Promise<void> {
  const knew = memory.size > 0;
  memory.clear();
  await (await db()).clear('answers').catch(() => undefined);
  if (knew) answersChanged();
}

const shutOut = (e: Error): boolean => e instanceof Refused && e.http === 403 && e.field === 'device';

/** A device that has not met its workshop for so long has no use for what it was told then. */
export async function forgetOld(): Promise<void> {
  const { store, done } = (await db()).transaction('answers', 'readwrite');
  for await (const row of store) if (row.value.at < Date.now() - KEEP_DAYS * 864e5) await row.delete();
  await done;
}

async function recall(path: string): Promise<{ answer: unknown; at: number } | null> {
  const kept = memory.get(path);
  if (kept) return kept;
  const row = await (await db()).get('answers', path).catch(() => undefined);
  return row ?? null;
}

interface State<T> { path: string | null; data: T | null; error: Error | null; loading: boolean; old_at: number | null }

/** `path` null asks nothing. `every_ms` asks again and again while the page is visible. */
export function useAnswer<T>(path: string | null, every_ms = 0): Answer<T> {
  const [state, setState] = useState<State<T>>(() => first(path));
  const [round, setRound] = useState(0);
  const reload = useCallback(() => setRound((r) => r + 1), []);

  // a forecast is asked for again only when it failed: it costs seconds and changes with its recipe alone
  const failed = state.error !== null;
  useEffect(() => {
    if (!path || (computed(path) && !failed)) return;
    return changed.watch(reload);
  }, [path, failed, reload]);

  useEffect(() => {
    if (!path) return setState(first<T>(null));
    let live = true;
    const fresh = memory.get(path)?.version === version;
    setState((s) => (s.path === path && s.data ? { ...s, loading: !fresh } : first<T>(path)));
    const leave = new AbortController();
    const put = () => void load<T>(path, leave.signal).then((next) => live && setState((s) => merge(s, next)));
    // a computer that sleeps refuses nothing: what was known serves until it answers or is given up
    const meanwhile = computed(path) || fresh ? 0 : setTimeout(() => {
      silent ||= flights.has(path);
      void recall(path).then((old) => live && old && setState((s) => (s.loading && !s.data ? { ...s, data: old.answer as T, old_at: old.at } : s)));
    }, silent ? 0 : PATIENCE_MS);
    if (round > 0 || !fresh) put();
    const awake = () => !document.hidden && put();
    const timer = every_ms ? setInterval(awake, every_ms) : 0;
    if (every_ms) document.addEventListener('visibilitychange', awake);
    return () => {
      live = false;
      leave.abort();
      clearTimeout(meanwhile);
      clearInterval(timer);
      document.removeEventListener('visibilitychange', awake);
    };
  }, [path, every_ms, round]);

  const { data, error, loading, old_at } = state.path === path ? state : first<T>(path);
  return { data, error, loading, old_at, reload };
}

function first<T>(path: string | null): State<T> {
  const kept = path ? memory.get(path) : undefined;
  const loading = path !== null && kept?.version !== version;
  return { path, data: (kept?.answer as T) ?? null, error: null, loading, old_at: null };
}

/** An error does not wipe what is on screen. */
const merge = <T>(before: State<T>, next: State<T>): State<T> => ({ ...next, data: next.data ?? before.data });

async function load<T>(path: string, gone: AbortSignal, tries = 3): Promise<State<T>> {
  try {
    const data = (await ask(path, gone)) as T;
    return { path, data, error: null, loading: false, old_at: null };
  } catch (e) {
    const error = e instanceof Error ? e : new Error(String(e));
    if (tries > 0 && error instanceof Refused && (error.http >= 500 || error.http === 409)) {
      await new Promise((resolve) => setTimeout(resolve, BUSY_WAIT_MS)); // busy writing: a question may be put again
      if (!gone.aborted) return load<T>(path, gone, tries - 1);
    }
    if (shutOut(error)) await forget();
    if (error instanceof Away) {
      const old = await recall(path);
      if (old) return { path, data: old.answer as T, error: null, loading: false, old_at: old.at };
    }
    return { path, data: null, error, loading: false, old_at: null };
  }
}
