// Where wicks stand that take equal shares of the wax: the door tells it. Until it does, what it told
// last of this container and this many wicks is drawn in proportion: plans of one shape have one layout
// as long as no wick comes too near to the wall. So a slider asks nothing on its way, only at rest.
import { useEffect, useState } from 'preact/hooks';
import type { Above, Spot } from './above';
import { withQuery } from './api';
import { useAnswer } from './live';
import type { Container, Places } from './types';

const REST_MS = 350;
const LEAST_FILL_MM = 8; // the door's
const LAST_KEPT = 60;

/** By container and number of wicks, in halves of the longer side. */
const last = new Map<string, Spot[]>();

export interface EqualShares {
  /** Null while nothing is known of this many wicks in this container. */
  spots: Spot[] | null;
  /** Why they cannot stand there, in the door's words. */
  problem: string | null;
  error: Error | null;
}

/** `n` below two asks nothing. `wider` when the container is drawn as wide as `above`, not as it stands on the shelf. */
export function useEqualShares(c: Container | null, n: number, fill_mm: number, above: Above | null, wider = false): EqualShares {
  const what = c && above && n > 1 ? `${c.id} ${n}` : null;
  const path = what && withQuery(`/api/containers/${c!.id}/places`, {
    wick_count: n, fill_height: length(Math.min(c!.height_mm, Math.max(LEAST_FILL_MM, fill_mm))), ...(wider ? { inner_diameter: length(above!.long_mm) } : {}),
  });
  const asked = useRested(path, what !== null && last.has(what));
  const answer = useAnswer<Places>(asked);
  const told = asked === path ? answer.data : null;
  if (told && what) keep(what, told);
  const half = (above?.long_mm ?? 0) / 2;
  const scaled = what ? last.get(what)?.map((s) => ({ x: s.x * half, y: s.y * half })) : null;
  return { spots: told ? spotsOf(told.places) : (scaled ?? null), problem: told?.problem ?? null, error: asked === path ? answer.error : null };
}

export const spotsOf = (places: Places['places']): Spot[] => places.map((p) => ({ x: p.x_mm, y: p.y_mm }));

function keep(what: string, told: Places): void {
  const half = told.inner_diameter_mm / 2;
  last.delete(what);
  last.set(what, told.places.map((p) => ({ x: p.x_mm / half, y: p.y_mm / half })));
  if (last.size > LAST_KEPT) last.delete(last.keys().next().value!);
}

const length = (mm: number): string => `${Number(mm.toFixed(3))} mm`;

/** A value once it has rested, or at once when it need not. */
function useRested<T>(value: T, rest: boolean): T {
  const [rested, setRested] = useState(value);
  useEffect(() => {
    if (!rest) return setRested(value);
    const timer = setTimeout(() => setRested(value), REST_MS);
    return () => clearTimeout(timer);
  }, [value, rest]);
  return rested;
}
