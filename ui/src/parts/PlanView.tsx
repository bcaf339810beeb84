// The plan: which wicks to pour, why, and what that costs in candles and days.
import type { Plan, Recipe } from '../lib/types';
import { plural } from '../lib/when';
import { Cautions } from './Caution';
import { Figure, Figures } from './Figure';
import { said } from '../lib/said';
import { Worded } from './Term';

export const pourLink = (recipeId: string, set: { size_id: string; candles: number }[]): string =>
  `/pours/new?recipe=${recipeId}&set=${set.map((s) => `${s.size_id}:${s.candles}`).join(',')}`;

export function PlanView({ plan, recipe }: { plan: Plan; recipe: Recipe }) {
  const names = plan.sizes.map((s) => s.size_name);
  const pours = plan.candles > 0;
  return (
    <div class="plan">
      <p class="story"><Worded>{said(plan.sentence, names)}</Worded></p>
      {plan.status === 'proven' && <p class="quiet">That chance is what doubt is left after your own candles passed. The shares under Odds are another figure: how simulated candles came out.</p>}
      {plan.learned && plan.learned.candles > 0 && <p class="quiet">Drawn from what {plural(plan.learned.candles, 'candle')} burned in this workshop taught, not from the tables alone.</p>}
      {plan.doubts && plan.doubts.length > 0 && (
        <div class="doubts">
          <h3>Worth a second look</h3>
          <ul>{plan.doubts.map((d) => <li key={d.text}><Worded>{said(d.text, names)}</Worded></li>)}</ul>
        </div>
      )}
      {plan.set.length > 0 && (
        <ol class="plan-set">
          {plan.set.map((s) => (
            <li key={s.size_id}>
              <span class="plan-size">{s.size_name}</span>
              <span class="plan-count">{s.candles > 0 && `× ${s.candles}`}</span>
              <span><Worded>{said(s.reason, names)}</Worded></span>
            </li>
          ))}
        </ol>
      )}
      {(pours || plan.days > 0) && <Figures small>
        {pours && <Figure label="candles" value={plan.candles} />}
        {pours && <Figure label="cure" value={plan.cure_days} kind="d" />}
        <Figure label="burning" value={plan.burn_days} kind="d" note="one session a day" />
        <Figure label="until an answer" value={plan.days} kind="d" />
        <Figure label="at the bench" value={plan.bench_hours} kind="h" note="hands on" />
      </Figures>}
      {plan.status === 'burn_on' && <p class="actions"><a class="button main" href={`/light?recipe=${recipe.id}`}>Light the candles there are</a></p>}
      {pours && plan.set.length > 0 && <p class="actions"><a class="button main" href={pourLink(recipe.id, plan.set)}>Pour this set: {plural(plan.candles, 'candle')}</a></p>}
      <Cautions list={plan.cautions} title="Before you pour and burn" folded />
    </div>
  );
}
