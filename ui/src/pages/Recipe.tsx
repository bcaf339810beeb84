// A recipe on one long page: the forecast burning in its jar, the odds of each wick size, what to pour
// first, the proof so far, and the candle as described.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { answersChanged, useAnswer } from '../lib/live';
import type { Meta, Plan, Recipe as RecipeT, Series, VerdictPage } from '../lib/types';
import { Cautions } from '../parts/Caution';
import { Described, Revisions } from '../parts/Described';
import { DueMinutes } from '../parts/DueMinutes';
import { LayoutOf } from '../parts/FromAbove';
import { Foresee } from '../parts/Foresee';
import { OddsList, bestSize } from '../parts/Odds';
import { Await, Page, Section } from '../parts/Page';
import { Candidates } from '../parts/Candidates';
import { PlanView } from '../parts/PlanView';
import { SideBySide } from '../parts/SideBySide';
import { StateMark } from '../parts/StateMark';
import { WhatIf } from '../parts/WhatIf';
import { Why } from '../parts/Why';
import { said } from '../lib/said';

export function Recipe({ id }: { id: string }) {
  const recipe = useAnswer<RecipeT>(`/api/recipes/${id}`);
  return <Await answer={recipe} page="Recipe" what="Opening the recipe">{(r) => <RecipeOf key={r.id} recipe={r} />}</Await>;
}

function RecipeOf({ recipe }: { recipe: RecipeT }) {
  const r = recipe.revision;
  const plan = useAnswer<Plan>(withQuery(`/api/recipes/${recipe.id}/plan`, { revision: r.number }));
  const series = useAnswer<Series>(`/api/series/${r.series.id}`);
  const verdict = useAnswer<VerdictPage>(`/api/recipes/${recipe.id}/verdict`);
  const meta = useAnswer<Meta>('/api/meta');
  // what holds for every candle stands at the plan; here only what is peculiar to this one
  const usual = new Set([...(meta.data?.cautions.burning ?? recipe.cautions), ...(meta.data?.cautions.glass ?? [])]);
  const [picked, setPicked] = useState<string | null>(null);
  const [kept, setKept] = useState('');
  const [bandIn, setBandIn] = useState(false);
  const known = bandIn || plan.data !== null;
  const sizes = series.data?.sizes ?? [];
  const middle = sizes[Math.floor((sizes.length - 1) / 2)]?.id ?? null;
  const shown = picked ?? r.size?.id ?? (plan.data && bestSize(plan.data.sizes)?.size_id) ?? middle;
  // the door keeps what it foresaw, and says so of the recipe from then on
  const foreseen = () => { if (recipe.state === 'described') answersChanged(); };
  const see = (size: string) => {
    setPicked(size);
    document.getElementById('foresee')?.scrollIntoView({ behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });
  };
  return (
    <Page title={recipe.name} over={<a href="/recipes">Recipes</a>} class="recipe"
      under={<p class="recipe-under"><StateMark state={recipe.state} text={recipe.state_text} /> <span>{r.container.name} · {r.waxes.map((w) => w.name).join(' and ')} · {r.fragrance ? r.fragrance.name : 'unscented'} · revision {r.number}</span></p>}>
      <nav class="jump" aria-label="On this page">
        <a href="#foresee">Foresee</a><a href="#what-if">What if</a>{sizes.length > 1 && <a href="#side-by-side">Side by side</a>}<a href="#odds">Odds</a><a href="#why">Why</a><a href="#plan">Plan</a><a href="#shelf">The shelf</a><a href="#proof">Proof</a><a href="#candle">The candle</a><a href="#revisions">Revisions</a>
      </nav>
      <Cautions list={recipe.cautions.filter((c) => !usual.has(c))} title="Noted" />
      <Section title="Foresee" id="foresee" wide note="the jar cut open, from the first light to the last">
        <Foresee recipe={recipe} sizes={sizes} shown={shown} onShow={setPicked} ready={!plan.loading} known={known} onKnown={() => setBandIn(true)} onForeseen={foreseen} />
      </Section>
      <Section title="What if" id="what-if" wide note="change one thing, and see the burn answer">
        {kept && <p class="notice" role="status">{kept} <a href="#candle">The candle now</a></p>}
        <WhatIf key={r.number} recipe={recipe} sizes={sizes} shown={shown} known={known} onKept={setKept} />
      </Section>
      {shown && sizes.length > 1 && (
        <Section title="Side by side" id="side-by-side" wide note="sizes of the series at the same moment">
          <SideBySide recipe={recipe} sizes={sizes} shown={shown} known={known} odds={plan.data?.sizes ?? []} />
        </Section>
      )}
      <Section title="Odds" id="odds" note="ten candles made alike, as the forecast sees them">
        <Await answer={plan} what="Burning many candles of each size">{(p) => <OddsList sizes={p.sizes} chosen={shown} onShow={see} />}</Await>
      </Section>
      <Section title="Why" id="why" note="what the forecast hangs on">
        <Why recipe={recipe} wick={shown} />
      </Section>
      <Section title="Plan" id="plan" note="what to pour or burn next">
        <Await answer={plan} what="Weighing up which wicks to pour">{(p) => <PlanView plan={p} recipe={recipe} />}</Await>
      </Section>
      <Section title="The shelf" id="shelf" note="other wicks, the same candle otherwise">
        <Candidates recipe={recipe} />
      </Section>
      <Section title="When readings are due" id="due" note="at the bench, after lighting">
        <DueMinutes key={recipe.due_minutes + recipe.due_own} recipe={recipe} />
      </Section>
      <Section title="Proof so far" id="proof">
        <Await answer={verdict}>{(v) => <ProofSoFar page={v} recipe={recipe} />}</Await>
      </Section>
      <Section title="The candle" id="candle" note={<a href={`/recipes/${recipe.id}/revise`}>Revise</a>}>
        <Described revision={r} />
        <LayoutOf revision={r} />
      </Section>
      <Section title="Revisions" id="revisions"><Revisions recipe={recipe} /></Section>
    </Page>
  );
}

function ProofSoFar({ page, recipe }: { page: VerdictPage; recipe: RecipeT }) {
  if (!page.wicks.length) {
    return <p>Nothing has been burned yet. A forecast proves nothing: candles do. {recipe.revision.poured && <a href={`/light?recipe=${recipe.id}`}>Light the first ones</a>}</p>;
  }
  return (
    <>
      {page.text && <p>{said(page.text, page.wicks.map((w) => w.size_name))}</p>}
      <ul class="proof-list">
        {page.wicks.map((w) => (
          <li key={w.size_id}>
            <span class="proof-size">{w.size_name}</span>
            <span class={`proof-kind v-${w.verdict.kind}`}>{w.verdict.kind_text}</span>
            <span class="quiet">{w.candles.join(', ')}</span>
          </li>
        ))}
      </ul>
      <p class="actions">
        <a class="button" href={`/recipes/${recipe.id}/proof`}>Reasons and readings</a>
        <a class="button quiet-button" href={`/light?recipe=${recipe.id}`}>Light candles</a>
      </p>
    </>
  );
}
