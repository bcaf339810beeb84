// Answers of the door as hooks: shown at once when known, fetched anew when something was written.
import { useCallback, useEffect, useState } from 'preact/hooks';
import { Away, Refused, getJson } from './api';
import { db } from './db';

export interface Answer<T> {
  data: T | null;
  error: Error | null;
  loading: boolean;
  /** Set when the answer is an old one because the server is away: when it was given. */
  old_at: number | null;
  reload: () => void;
}

interface Kept { answer: unknown; at: number; version: number }

const memory = new Map<string, Kept>();
const watchers = new Set<() => void>();
let version = 0;

/** Something was written: every answer on screen is asked for again. */
export function answersChanged(): void {
  version++;
  for (const tell of watchers) tell();
}

/** Another bench wrote something: the server says so, and what is on screen is asked for anew. */
export function listenForChanges(): void {
  const stream = new EventSource('/api/events');
  let lost = false;
  stream.addEventListener('changed', answersChanged);
  stream.addEventListener('open', () => {
    if (lost) answersChanged(); // the server is back: what happened meanwhile is not known here
    lost = false;
  });
  stream.addEventListener('error', () => {
    lost = true;
    if (stream.readyState === EventSource.CLOSED) setTimeout(listenForChanges, 5000);
  });
}

/** Answers of the burn engine: large, slow to make, and never stored in the browser. */
const computed = (path: string): boolean => /\/(forecast|odds|plan|why)(\?|$)/.test(path);
const COMPUTED_WAIT_MS = 300000;
const BUSY_WAIT_MS = 2500;

async function remember(path: string, answer: unknown): Promise<void> {
  memory.set(path, { answer, at: Date.now(), version });
  if (memory.size > 60) memory.delete(memory.keys().next().value!);
  if (!computed(path)) await (await db()).put('answers', { path, at: Date.now(), answer }).catch(() => undefined);
}

/** An answer that came inside another one: known from now on, with or without a connection. */
export const seed = (path: string, answer: unknown): void => void remember(path, answer);

/** Asked for before it is needed, so that the next page opens when the server is gone by then. */
export function ahead(path: string): void {
  if (memory.get(path)?.version === version) return;
  void getJson(path).then((answer) => remember(path, answer)).catch(() => undefined);
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
    watchers.add(reload);
    return () => void watchers.delete(reload);
  }, [path, failed, reload]);

  useEffect(() => {
    if (!path) return setState(first<T>(null));
    let live = true;
    const fresh = memory.get(path)?.version === version;
    setState((s) => (s.path === path && s.data ? { ...s, loading: !fresh } : first<T>(path)));
    const leave = new AbortController();
    const drop = computed(path) ? leave.signal : undefined;
    const ask = () => void load<T>(path, drop).then((next) => live && setState((s) => merge(s, next)));
    if (round > 0 || !fresh) ask();
    const awake = () => !document.hidden && ask();
    const timer = every_ms ? setInterval(awake, every_ms) : 0;
    if (every_ms) document.addEventListener('visibilitychange', awake);
    return () => {
      live = false;
      leave.abort(); // the server stops burning candles nobody looks at
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

async function load<T>(path: string, drop?: AbortSignal, tries = 3): Promise<State<T>> {
  try {
    const data = await getJson<T>(path, computed(path) ? COMPUTED_WAIT_MS : undefined, drop);
    await remember(path, data);
    return { path, data, error: null, loading: false, old_at: null };
  } catch (e) {
    const error = e instanceof Error ? e : new Error(String(e));
    if (tries > 0 && error instanceof Refused && (error.http >= 500 || error.http === 409)) {
      await new Promise((resolve) => setTimeout(resolve, BUSY_WAIT_MS)); // busy writing: a question may be put again
      return load<T>(path, drop, tries - 1);
    }
    if (error instanceof Away) {
      const old = await recall(path);
      if (old) return { path, data: old.answer as T, error: null, loading: false, old_at: old.at };
    }
    return { path, data: null, error, loading: false, old_at: null };
  }
}
