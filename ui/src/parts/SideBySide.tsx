// Any two or three sizes of the series side by side: the same jar, the same moment, another wick.
import { useMemo, useState } from 'preact/hooks';
import { useForecast } from '../lib/forecast';
import { firstFrame, momentsOf } from '../lib/moment';
import type { Recipe, Size, SizeOdds } from '../lib/types';
import { show } from '../lib/units';
import { Jars, LIFE_ROWS, momentRows, MomentSlider, RowsTable, type Row, type Shown } from './Jars';
import { WaxLegend } from './JarCut';

const MOST = 3;

/** The one shown above between its neighbours. */
function neighbours(sizes: Size[], shown: string): string[] {
  const at = Math.max(0, sizes.findIndex((s) => s.id === shown));
  const from = Math.min(Math.max(0, at - 1), Math.max(0, sizes.length - MOST));
  return sizes.slice(from, from + MOST).map((s) => s.id);
}

export function SideBySide({ recipe, sizes, shown, known, odds }: { recipe: Recipe; sizes: Size[]; shown: string; known: boolean; odds: SizeOdds[] }) {
  const [picked, setPicked] = useState<string[] | null>(null);
  const chosen = picked ?? neighbours(sizes, shown);
  const list = sizes.filter((s) => chosen.includes(s.id));
  const toggle = (id: string) => setPicked(chosen.includes(id) ? chosen.filter((x) => x !== id) : [...chosen, id].slice(-MOST));
  return (
    <>
      <fieldset class="sizes">
        <legend>Two or three sizes of {recipe.revision.series.name}</legend>
        <div class="sizes-row">
          {sizes.map((s) => (
            <label key={s.id} class="size-item"><input type="checkbox" checked={chosen.includes(s.id)} onChange={() => toggle(s.id)} /><span>{s.name}</span></label>
          ))}
        </div>
      </fieldset>
      {list.length < 2 ? <p class="quiet">Choose one more to compare.</p> : <Compared key={recipe.revision.number} recipe={recipe} list={list} known={known} odds={odds} />}
    </>
  );
}

/** Three questions whatever the choice, so that each keeps its answer; the same ones the forecast above asks. */
function useBurns(recipe: Recipe, list: Size[], known: boolean): Shown[] {
  const of = (s: Size | undefined) => useForecast(recipe.id, s?.id, recipe.revision.number, known);
  const a = of(list[0]), b = of(list[1]), c = of(list[2]);
  return list.map((s, i) => ({ key: s.id, name: s.name, under: show(s.linear_density_g_m, 'g_m'), burn: [a, b, c][i]!.data }));
}

/** What real candles said stands under what the simulated one would be judged. */
function lifeRows(odds: SizeOdds[]): Row[] {
  const tested = (key: string) => odds.find((o) => o.size_id === key)?.tested?.text ?? 'none burned';
  return odds.some((o) => o.tested) ? [...LIFE_ROWS, { label: 'candles of yours', kind: 'none', of: () => null, own: tested }] : LIFE_ROWS;
}

function Compared({ recipe, list, known, odds }: { recipe: Recipe; list: Size[]; known: boolean; odds: SizeOdds[] }) {
  const burns = useBurns(recipe, list, known);
  const [at, setAt] = useState<number | null>(null);
  const cuts = burns.flatMap((s) => (s.burn ? [s.burn.cut] : []));
  const moments = useMemo(() => momentsOf(cuts), [cuts.length, burns.map((s) => (s.burn ? s.key : '')).join()]);
  if (!moments.length) return <p class="loading"><span class="loading-dot" aria-hidden="true" /><span role="status">Burning them to the end of the jar…</span></p>;
  const first = cuts[0]!.frames[firstFrame(cuts[0]!.frames)]!;
  const start = moments.findIndex((m) => m.session === first.session && m.lit && Math.abs(m.minute - first.minute) < 1);
  const i = Math.min(at ?? Math.max(0, start), moments.length - 1);
  const moment = moments[i]!;
  return (
    <>
      <Jars list={burns} moment={moment} />
      <MomentSlider moments={moments} at={i} onAt={setAt} />
      <WaxLegend />
      <div class="side-tables">
        <RowsTable of="Side by side" title="at this moment" rows={momentRows(moment)} list={burns} />
        <RowsTable of="Side by side" title="over its life" rows={lifeRows(odds)} list={burns} />
      </div>
      <p class="quiet">The same jar, wax and scent cut through the middle at one scale; only the wick differs. One simulated candle each, from the middle of what is known: the odds below say how sure that is.</p>
    </>
  );
}
