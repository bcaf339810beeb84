// What lives beside the components and changes by itself, as a hook.
import { useEffect, useState } from 'preact/hooks';

/** Told of every change; `watch` gives back how to stop it. */
export interface Bell { ring: () => void; watch: (tell: () => void) => () => void }

export function bell(): Bell {
  const watchers = new Set<() => void>();
  return {
    ring: () => { for (const tell of watchers) tell(); },
    watch(tell) {
      watchers.add(tell);
      return () => void watchers.delete(tell);
    },
  };
}

/**
 * What `read` gives, now and after every ring; `of` names what it is read of. Effects come after the paint:
 * what changed between drawing and watching is read then, or it would stay unseen until the next change.
 */
export function useWatched<T>({ watch }: Bell, read: () => T, of?: unknown): T {
  const [value, set] = useState<T>(read);
  useEffect(() => {
    const tell = () => set(read());
    tell();
    return watch(tell);
  }, [watch, of]);
  return value;
}
