// A candle in few words.
import type { Candle } from './types';
import { show } from './units';
import { plural } from './when';

/** "11 sessions, 10 % of the wax left", as far as it is known. */
export function soFar(c: Pick<Candle, 'sessions' | 'left_pct'>, left = 'of the wax left'): string {
  if (!c.sessions) return 'never lit';
  return plural(c.sessions, 'session') + (c.left_pct === null ? '' : `, ${show(c.left_pct, 'pct', 0)} ${left}`);
}
