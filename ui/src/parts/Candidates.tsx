// The rest of the shelf in this jar: every series, likeliest first, with the way to a revision that has it.
// Many candles are burned on the computer for it, so it is asked for when opened.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useAnswer } from '../lib/live';
import { said } from '../lib/said';
import type { Recipe, SizeOdds } from '../lib/types';
import { show } from '../lib/units';
import { plural } from '../lib/when';
import { TenJars, tenJars } from './JarGlyph';
import { chanceWords, OddsKey } from './Odds';
import { Await } from './Page';

interface CandidateSize { size_id: string; size_name: string; one_candle: string; one_candle_text: string; odds: SizeOdds | null }
interface Way { series: { id: string; name: string }; wick_count: number; own: boolean; best_size?: string; right_pct?: number; text: string; sizes: CandidateSize[] }
interface CandidatesAnswer { ways: Way[]; sentence: string; members: number }

const MOST = 3; // wicks of one series that are tried on request

export function Candidates({ recipe }: { recipe: Recipe }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="why" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>Every other wick in this jar</summary>
      {open && <Opened recipe={recipe} />}
    </details>
  );
}

function Opened({ recipe }: { recipe: Recipe }) {
  const [upTo, setUpTo] = useState<number | null>(null);
  const r = recipe.revision;
  const answer = useAnswer<CandidatesAnswer>(withQuery(`/api/recipes/${recipe.id}/candidates`, { revision: r.number, wicks_up_to: upTo }));
  return (
    <>
      <Await answer={answer} what="Burning every wick on the shelf">{(a) => <Ways answer={a} recipe={recipe} />}</Await>
      {r.wick_count < MOST && !upTo && answer.data && (
        <p class="actions"><button type="button" class="button" onClick={() => setUpTo(MOST)}>Also up to {MOST} wicks of {r.series.name}</button></p>
      )}
    </>
  );
}

function Ways({ answer, recipe }: { answer: CandidatesAnswer; recipe: Recipe }) {
  const names = answer.ways.flatMap((w) => [w.series.name, ...w.sizes.map((s) => s.size_name)]);
  return (
    <>
      <p class="story">{said(answer.sentence, names)}</p>
      <OddsKey sizes={answer.ways.flatMap((w) => bestOf(w)?.odds ?? [])} />
      <ol class="odds">{answer.ways.map((w) => <WayRow key={`${w.series.id} ${w.wick_count}`} way={w} recipe={recipe} names={names} />)}</ol>
      <p class="quiet">The best size of each series, {plural(answer.members, 'simulated candle')} where one wick stands in a round jar, fewer elsewhere. Where your burns taught nothing of a series, the tables’ ranges stand for it.</p>
    </>
  );
}

const bestOf = (w: Way): CandidateSize | null => w.sizes.find((s) => s.size_name === w.best_size) ?? null;

function WayRow({ way, recipe, names }: { way: Way; recipe: Recipe; names: string[] }) {
  const best = bestOf(way);
  const odds = best?.odds;
  return (
    <li class="odds-row">
      <div class="odds-name">
        <span class="odds-size">{odds ? best.size_name : way.series.name}</span>
        <span class="quiet">{odds && `${way.series.name}, ${show(odds.linear_density_g_m, 'g_m')}, `}{plural(way.wick_count, 'wick')}</span>
        {way.own && <span class="tag">this recipe</span>}
      </div>
      {odds ? <TenJars odds={odds} /> : <span />}
      <div class="odds-words">
        {odds && <p><strong>Right in {tenJars(odds).filter((f) => f === 'right').length} of 10</strong>, {chanceWords(odds.right_pct)}.</p>}
        <p class="quiet">{said(way.text, names)}</p>
      </div>
      <div class="odds-acts">
        {odds && !way.own && <a class="button small" href={reviseTo(recipe, way, best.size_id)}>Revise to it<span class="unseen">: {best.size_name}, {plural(way.wick_count, 'wick')}</span></a>}
      </div>
    </li>
  );
}

// the size stays open: the plan of the new revision finds it
const reviseTo = (recipe: Recipe, way: Way, size: string): string =>
  `${withQuery(`/recipes/${recipe.id}/revise`, { series: way.series.id, size, wick_count: way.wick_count })}`;
