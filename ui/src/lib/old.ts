// How old what stands on the page is while the computer is away: gathered from every answer shown, to be
// said once, at the head of the page.
import { useEffect } from 'preact/hooks';
import { bell, useWatched } from './watch';

interface Old { at: number; waiting: boolean }

const shown = new Map<object, Old>();
const changes = bell();

function changed(change: () => void): void {
  change();
  changes.ring();
}

/** An answer on the page is of that time; null when it is of now. `waiting` while a newer one may yet come. */
export function useOld(at: number | null, waiting: boolean): void {
  useEffect(() => {
    if (at === null) return;
    const mine = {};
    changed(() => shown.set(mine, { at, waiting }));
    return () => changed(() => shown.delete(mine));
  }, [at, waiting]);
}

export interface Ages { oldest: number; newest: number; waiting: boolean }

function ages(): Ages | null {
  const list = [...shown.values()];
  const at = list.map((o) => o.at);
  return list.length ? { oldest: Math.min(...at), newest: Math.max(...at), waiting: list.some((o) => o.waiting) } : null;
}

export const useAges = (): Ages | null => useWatched(changes, ages);
