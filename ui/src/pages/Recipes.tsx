// All recipes, with where each stands on its way to proven: found by any word, in the order asked for.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useAnswer } from '../lib/live';
import type { RecipeLine, RecipeState } from '../lib/types';
import { bound } from '../lib/units';
import { onDate, plural, sizeWord } from '../lib/when';
import { Await, Empty, Page } from '../parts/Page';
import { StateMark } from '../parts/StateMark';

export function Recipes() {
  const [away, setAway] = useState(false);
  const answer = useAnswer<{ recipes: RecipeLine[] }>(withQuery('/api/recipes', { archived: away || null }));
  return (
    <Page title="Recipes">
      <p class="actions"><a class="button main" href="/recipes/new">Describe a candle</a></p>
      <Await answer={answer}>{({ recipes }) => <List recipes={recipes} away={away} onAway={setAway} />}</Await>
    </Page>
  );
}

const STEPS: RecipeState[] = ['testing', 'planned', 'described', 'proven', 'rejected'];
const ORDER: Record<string, { label: string; by: (a: RecipeLine, b: RecipeLine) => number }> = {
  changed: { label: 'last changed', by: (a, b) => b.updated.localeCompare(a.updated) },
  name: { label: 'name', by: (a, b) => a.name.localeCompare(b.name) },
  container: { label: 'container', by: (a, b) => a.container.name.localeCompare(b.container.name) || a.name.localeCompare(b.name) },
  state: { label: 'what is under test first', by: (a, b) => STEPS.indexOf(a.state) - STEPS.indexOf(b.state) || b.updated.localeCompare(a.updated) },
};
const KEY = 'recipes:order';

interface ListProps { recipes: RecipeLine[]; away: boolean; onAway: (on: boolean) => void }

function List({ recipes, away, onAway }: ListProps) {
  const [find, setFind] = useState('');
  const [order, setOrder] = useState(localStorage.getItem(KEY) ?? 'changed');
  const withAway = (
    <label class="find-away"><input type="checkbox" checked={away} onChange={(e) => onAway(e.currentTarget.checked)} /> <span>also those put away</span></label>
  );
  if (!recipes.length) {
    return (
      <>
        <Empty action={<a class="button" href="/shelf/containers/new?back=/recipes/new">Measure a jar first</a>}>
          <p>No recipe yet. A recipe is a jar, a wax, a scent at its load and a wick series; from these the burn of every size is forecast before anything is poured.</p>
        </Empty>
        <p class="find">{withAway}</p>
      </>
    );
  }
  const wanted = find.trim().toLowerCase().split(/\s+/).filter(Boolean);
  const words = (r: RecipeLine) => [r.name, r.container.name, r.wax_text, r.fragrance_text, r.series_name, r.size_name, r.state_text].join(' ').toLowerCase();
  const shown = recipes.filter((r) => wanted.every((w) => words(r).includes(w))).sort((ORDER[order] ?? ORDER.changed!).by);
  return (
    <>
      <div class="find" role="search">
        <label><span>Find</span> <input type="search" value={find} placeholder="jar, wax, scent, wick" onInput={(e) => setFind(e.currentTarget.value)} /></label>
        <label>
          <span>Order</span>{' '}
          <select value={order} onChange={(e) => { setOrder(e.currentTarget.value); localStorage.setItem(KEY, e.currentTarget.value); }}>
            {Object.entries(ORDER).map(([key, o]) => <option key={key} value={key}>{o.label}</option>)}
          </select>
        </label>
        {withAway}
      </div>
      <ul class="ledger">
        {shown.map((r) => (
          <li key={r.id}>
            <a href={`/recipes/${r.id}`} class="ledger-row">
              <span class="ledger-name">{r.name}{r.archived && <span class="tag">put away</span>}</span>
              <span class="ledger-what">{bound([r.container.name, r.wax_text, r.fragrance_text].filter(Boolean).join(' · '))}</span>
              <span class="ledger-what">{r.series_name}{r.size_name ? `, ${sizeWord(r.size_name)}` : ', size to be found'} · revision {r.revision} · {r.candles_poured ? `${plural(r.candles_poured, 'candle')} poured` : 'none poured'}</span>
              <span class="ledger-end"><StateMark state={r.state} text={r.state_text} /><span class="quiet">{onDate(r.updated)}</span></span>
            </a>
          </li>
        ))}
      </ul>
      <p class="quiet" role="status">{shown.length ? (wanted.length ? `${shown.length} of ${plural(recipes.length, 'recipe')}` : '') : `Nothing fits “${find}”.`}</p>
    </>
  );
}
