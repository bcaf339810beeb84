// All recipes, with where each stands on its way to proven.
import { useState } from 'preact/hooks';
import { useAnswer } from '../lib/live';
import type { RecipeLine } from '../lib/types';
import { onDate, plural, sizeWord } from '../lib/when';
import { Await, Empty, Page } from '../parts/Page';
import { StateMark } from '../parts/StateMark';

export function Recipes() {
  const answer = useAnswer<{ recipes: RecipeLine[] }>('/api/recipes');
  return (
    <Page title="Recipes">
      <p class="actions"><a class="button main" href="/recipes/new">Describe a candle</a></p>
      <Await answer={answer}>{({ recipes }) => <List recipes={recipes} />}</Await>
    </Page>
  );
}

function List({ recipes }: { recipes: RecipeLine[] }) {
  const [find, setFind] = useState('');
  if (!recipes.length) {
    return (
      <Empty action={<a class="button" href="/shelf/containers/new?back=/recipes/new">Measure a jar first</a>}>
        <p>No recipe yet. A recipe is a jar, a wax, a scent at its load and a wick series; from these the burn of every size is forecast before anything is poured.</p>
      </Empty>
    );
  }
  const wanted = find.trim().toLowerCase();
  const shown = recipes.filter((r) => !wanted || [r.name, r.container.name, r.wax_text, r.fragrance_text, r.series_name].join(' ').toLowerCase().includes(wanted));
  return (
    <>
      {recipes.length > 8 && (
        <p class="find"><label>Find <input type="search" value={find} onInput={(e) => setFind(e.currentTarget.value)} /></label></p>
      )}
      <ul class="ledger">
        {shown.map((r) => (
          <li key={r.id}>
            <a href={`/recipes/${r.id}`} class="ledger-row">
              <span class="ledger-name">{r.name}</span>
              <span class="ledger-what">{[r.container.name, r.wax_text, r.fragrance_text].filter(Boolean).join(' · ')}</span>
              <span class="ledger-what">{r.series_name}{r.size_name ? `, ${sizeWord(r.size_name)}` : ', size to be found'} · revision {r.revision} · {r.candles_poured ? `${plural(r.candles_poured, 'candle')} poured` : 'none poured'}</span>
              <span class="ledger-end"><StateMark state={r.state} text={r.state_text} /><span class="quiet">{onDate(r.updated)}</span></span>
            </a>
          </li>
        ))}
      </ul>
      {!shown.length && <p class="quiet">Nothing fits “{find}”.</p>}
    </>
  );
}
