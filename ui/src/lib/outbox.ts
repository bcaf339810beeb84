// Bench writes: kept in the browser's database first, then sent in the order typed. An item leaves
// only when the server has answered. Ids are made here, so sending one twice changes nothing.
import { Away, Refused, awayChanged, isAway, postJson, type Mistake } from './api';
import { db, type OutItem } from './db';
import { answersChanged } from './live';
import { bell } from './watch';
import type { Finding } from './types';

type Outcome = { kind: 'sent'; answer: unknown } | { kind: 'kept' } | { kind: 'refused'; mistakes: Mistake[] };

let items: OutItem[] = [];
let sent: OutItem[] = []; // just arrived: shown until the next answer of the server has them
export const outboxChanged = bell();
const outcomes = new Map<string, (o: Outcome) => void>();
let stopListener: ((findings: Finding[], sessionId: string) => void) | null = null;
let sending = false;
const faults = new Map<string, number>();

function changed(next: OutItem[]): void {
  items = next;
  outboxChanged.ring();
}

export const outboxItems = (): OutItem[] => items;
export const sentItems = (): OutItem[] => sent;

/** Called with stop-now findings whenever an answer carries some, however late it was sent. */
export function onStop(listener: typeof stopListener): void {
  stopListener = listener;
}

export async function startOutbox(): Promise<void> {
  changed(await (await db()).getAll('outbox'));
  window.addEventListener('online', () => void flush());
  awayChanged.watch(() => { if (!isAway()) void flush(); }); // another page of the workshop was answered
  document.addEventListener('visibilitychange', () => void flush());
  setInterval(() => void flush(), 4000);
  void flush();
}

/**
 * Keep it, try to send it, and say what became of it. Resolves 'kept' when no answer came.
 * `instead` names refused items it replaces: they go in the very step that keeps it, so that there is no
 * moment in which neither is there.
 */
export async function put(item: Omit<OutItem, 'seq' | 'refused'>, instead: string[] = []): Promise<Outcome> {
  const kept: OutItem = { ...item, refused: '' };
  const gone = items.filter((i) => i.refused && instead.includes(i.id));
  // what was typed into a session comes after its lighting, also when that is put right
  const place = gone.find((i) => i.lit)?.seq;
  const step = (await db()).transaction('outbox', 'readwrite');
  const seq = place === undefined ? await step.store.add(kept) : await step.store.put({ ...kept, seq: place });
  for (const old of gone) if (old.seq !== undefined && old.seq !== seq) await step.store.delete(old.seq);
  await step.done;
  changed([...items.filter((i) => !gone.includes(i)), { ...kept, seq }].sort((a, b) => a.seq! - b.seq!));
  return new Promise((resolve) => {
    outcomes.set(item.id, resolve);
    void flush();
  });
}

/** Take an item out: only for one the server refused, once the maker has dealt with it. */
export async function drop(id: string): Promise<void> {
  const item = items.find((i) => i.id === id);
  if (item?.seq !== undefined) await (await db()).delete('outbox', item.seq);
  changed(items.filter((i) => i.id !== id));
}

export async function flush(): Promise<void> {
  if (sending) return;
  sending = true;
  let sent = 0;
  try {
    for (let next = firstWaiting(); next; next = firstWaiting()) {
      if (!(await sendOne(next))) break;
      sent++;
    }
  } finally {
    sending = false;
  }
  if (sent) answersChanged();
  for (const item of items) if (!item.refused) settle(item.id, { kind: 'kept' });
}

/** In the order typed, but no picture holds up a reading, and what hangs on a lighting that was refused waits for it. */
function firstWaiting(): OutItem | undefined {
  const ready = items.filter((i) => !i.refused && !hangs(i));
  return ready.find((i) => !i.heavy) ?? ready[0];
}

/** Typed into a session whose lighting the door refused: sent once that is put right, or given up. */
export const hangs = (item: OutItem): boolean => !item.lit && items.some((i) => i.lit && i.refused && i.session_id === item.session_id);

function settle(id: string, outcome: Outcome): void {
  outcomes.get(id)?.(outcome);
  outcomes.delete(id);
}

/** False when the server is away and the rest must wait. */
async function sendOne(item: OutItem): Promise<boolean> {
  try {
    const answer = await postJson<{ stop?: Finding[] }>(item.path, { [item.id_as]: item.id, ...item.body }, item.heavy ? 30000 : 10000);
    // photos are large and are not laid over the session again
    if (!item.heavy) sent = [...sent.slice(-60), item];
    await drop(item.id);
    settle(item.id, { kind: 'sent', answer });
    if (answer.stop?.length) stopListener?.(answer.stop, item.session_id);
    return true;
  } catch (e) {
    if (e instanceof Away || (e instanceof Refused && e.http >= 500 && triedAgain(item.id))) return false;
    const text = e instanceof Error ? e.message : String(e);
    await markRefused(item, text);
    settle(item.id, { kind: 'refused', mistakes: e instanceof Refused ? e.mistakes : [{ field: '', text }] });
    return true;
  }
}

/** A fault of the server is tried a few times; then it must not hold up what was typed after it. */
function triedAgain(id: string): boolean {
  const tries = (faults.get(id) ?? 0) + 1;
  faults.set(id, tries);
  return tries < 5;
}

async function markRefused(item: OutItem, text: string): Promise<void> {
  // what was to correct a reading that never got into the book stands on its own, and replaces it here
  const heirs = items.filter((i) => i.body.corrects === item.id);
  const store = await db();
  for (const heir of heirs) {
    const { corrects: _, ...body } = heir.body;
    await store.put('outbox', { ...heir, body });
    heir.body = body;
  }
  if (heirs.length) return drop(item.id);
  const marked = { ...item, refused: text };
  await store.put('outbox', marked);
  changed(items.map((i) => (i.id === item.id ? marked : i)));
}
