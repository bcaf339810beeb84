// The forecast of one wick, shown at once and made better: what burns taught may take a while to work
// out, and until then the tables serve.
import { withQuery } from './api';
import { useAnswer, type Answer } from './live';
import type { Forecast } from './types';

/** `known`: odds or a plan came, so what was learned is at hand. Asked before, several such questions would
 *  wait for one and the same thing, and a browser holds no more than six open to one server. */
export function useForecast(recipe: string, wick: string | null | undefined, revision: number, known: boolean): Answer<Forecast> {
  const path = (from: string) => withQuery(`/api/recipes/${recipe}/forecast`, { wick, revision, from });
  const soon = useAnswer<Forecast>(wick ? path('kept') : null);
  const learned = useAnswer<Forecast>(wick && known && soon.data?.made_of.waits ? path('burns') : null);
  return learned.data ? learned : soon;
}
