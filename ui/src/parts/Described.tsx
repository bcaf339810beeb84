// The candle as described, and how its revisions differ.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useAnswer } from '../lib/live';
import type { Recipe, Revision, RevisionDiff } from '../lib/types';
import { show } from '../lib/units';
import { onDate, sizeWord } from '../lib/when';
import { Await } from './Page';
import { PutAway } from './PutAway';
import { Worded } from './Term';

export function Described({ revision: r }: { revision: Revision }) {
  const rows: [string, preact.ComponentChildren][] = [
    ['Container', <a key="c" href={`/shelf/containers/${r.container.id}`}>{r.container.name}</a>],
    ['Fill', `${show(r.fill_mass_g, 'g')} of cold wax, ${show(r.fill_ml, 'ml')}, ${show(r.fill_height_mm, 'mm')} high, ${show(r.headspace_mm, 'mm')} to the brim`],
    ['Wax', r.waxes.map((w, i) => <span key={w.id}>{i > 0 && ', '}<a href={`/shelf/materials/${w.id}`}>{w.name}</a>{r.waxes.length > 1 && ` ${show(w.share_pct, 'pct')}`}</span>)],
    ['Fragrance', r.fragrance ? <a key="f" href={`/shelf/materials/${r.fragrance.id}`}>{r.fragrance.name}</a> : 'none'],
    ['Load', r.fragrance ? `${show(r.load_of_wax_pct, 'pct', 2)} of the wax, ${show(r.load_of_total_pct, 'pct', 2)} of the whole mix (described ${r.load_basis === 'of_total' ? 'of the mix' : 'of the wax'})` : 'none'],
    ['Dye', r.dye ? `${r.dye.name}, ${show(r.dye_share_pct, 'pct', 2)} of the wax` : 'none'],
    ['Additives', r.additives.length ? r.additives.map((a) => `${a.name} ${show(a.share_pct, 'pct')}`).join(', ') : 'none'],
    ['Wick', <span key="w"><a href={`/shelf/series/${r.series.id}`}>{r.series.name}</a>{r.size ? `, ${sizeWord(r.size.name)}` : ', size still to be found'}{r.wick_count > 1 ? `, ${r.wick_count} of them` : ''}</span>],
    ['Trim', show(r.trim_mm, 'mm')],
    ['One burn', show(r.session_h, 'h')],
    ['Stop at', `${show(r.stop_height_mm, 'mm')} of wax`],
  ];
  if (r.note) rows.push(['Note', r.note]);
  return <dl class="described">{rows.map(([k, v]) => <div key={k}><dt><Worded>{k}</Worded></dt><dd>{v}</dd></div>)}</dl>;
}

export function Revisions({ recipe }: { recipe: Recipe }) {
  const numbers = recipe.revisions.map((r) => r.number).sort((a, b) => a - b);
  const [from, setFrom] = useState(numbers[numbers.length - 2] ?? 1);
  const to = recipe.revision.number;
  const diff = useAnswer<RevisionDiff>(numbers.length > 1 ? withQuery(`/api/recipes/${recipe.id}/diff`, { from, to }) : null);
  return (
    <>
      <ul class="plain-list">
        {[...recipe.revisions].sort((a, b) => b.number - a.number).map((r) => (
          <li key={r.id}>Revision {r.number}, {onDate(r.created)}{r.poured ? ', poured: it can no longer change' : ', not poured yet'}{r.size ? `, ${sizeWord(r.size.name)}` : ''}</li>
        ))}
      </ul>
      {numbers.length > 1 && (
        <>
          <p><label class="inline-choice">Compare revision {to} with <select value={String(from)} onChange={(e) => setFrom(Number(e.currentTarget.value))}>{numbers.filter((n) => n !== to).map((n) => <option key={n} value={String(n)}>revision {n}</option>)}</select></label></p>
          <Await answer={diff}>
            {(d) => (
              <>
                <p>{d.text}</p>
                {d.factors.length > 0 && (
                  <div class="scroll" tabIndex={0} role="region" aria-label="What changed, table">
                    <table>
                      <thead><tr><th scope="col">what</th><th scope="col">before</th><th scope="col">after</th><th scope="col">burn test again?</th></tr></thead>
                      <tbody>{d.factors.map((f) => <tr key={f.key}><th scope="row">{f.label}</th><td>{f.before}</td><td>{f.after}</td><td>{f.retest ? 'yes' : 'no'}</td></tr>)}</tbody>
                    </table>
                  </div>
                )}
              </>
            )}
          </Await>
        </>
      )}
      <p class="actions">
        <a class="button" href={`/recipes/${recipe.id}/revise`}>Revise this recipe</a>
        <a class="button quiet-button" href={`/recipes/new?from=${recipe.id}`}>Start another from it</a>
        <PutAway id={recipe.id} name={recipe.name} archived={recipe.archived} />
      </p>
    </>
  );
}
