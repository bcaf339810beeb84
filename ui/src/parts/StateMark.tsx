// Where a recipe stands: five stations on a short tape, the word beside it.
import type { RecipeState } from '../lib/types';

const STATIONS: RecipeState[] = ['described', 'planned', 'testing', 'proven'];

export function StateMark({ state, text }: { state: RecipeState; text: string }) {
  const reached = state === 'rejected' ? 3 : STATIONS.indexOf(state);
  return (
    <span class={`state s-${state}`}>
      <span class="state-steps" aria-hidden="true">{STATIONS.map((s, i) => <i key={s} class={i <= reached ? 'on' : ''} />)}</span>
      <span>{text || state}</span>
    </span>
  );
}
