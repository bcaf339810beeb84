// Stop-now findings that came back with a reading, kept per session until the page is left for good.
import type { Finding } from './types';

const found = new Map<string, Finding[]>();
const watchers = new Set<() => void>();

export const stopsOf = {
  get: (sessionId: string): Finding[] => found.get(sessionId) ?? [],
  add(findings: Finding[], sessionId: string): void {
    found.set(sessionId, [...(found.get(sessionId) ?? []), ...findings]);
    for (const tell of watchers) tell();
    navigator.vibrate?.([400, 120, 400, 120, 400]);
  },
  watch(tell: () => void): () => void {
    watchers.add(tell);
    return () => void watchers.delete(tell);
  },
};
