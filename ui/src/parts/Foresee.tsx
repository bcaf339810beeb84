// The forecast of one wick size: the player, its story in a sentence, charts over the sessions.
import { useEffect, useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useForecast } from '../lib/forecast';
import { useAnswer } from '../lib/live';
import { bandAt, factsOf, limitOf, QUANTITIES, sessionsThatCount } from '../lib/facts';
import type { Forecast, Limit, Reading, Recipe, Session, Size, VerdictPage } from '../lib/types';
import { show } from '../lib/units';
import { Chart } from './Chart';
import { Heat } from './Heat';
import { ComputedNote } from './Origin';
import { Await } from './Page';
import { Player } from './Player';
import { said } from '../lib/said';
import { Worded } from './Term';

const MEMBERS = 64; // enough for what a label may claim (59)

interface ForeseeProps {
  recipe: Recipe;
  sizes: Size[];
  shown: string | null;
  onShow: (id: string) => void;
  /** The odds are in, or will not come: time to burn the band. */
  ready: boolean;
  /** What was learned is at hand. */
  known: boolean;
  onKnown: () => void;
  /** The candle was burned on the computer: the recipe is no longer only described. */
  onForeseen: () => void;
}

export function Foresee({ recipe, sizes, shown, onShow, ready, known, onKnown, onForeseen }: ForeseeProps) {
  const base = `/api/recipes/${recipe.id}/forecast`;
  const answer = useForecast(recipe.id, shown, recipe.revision.number, known);
  const banded = useAnswer<Forecast>(shown && answer.data && ready ? withQuery(base, { wick: shown, revision: recipe.revision.number, members: MEMBERS }) : null);
  useEffect(() => { if (banded.data) onKnown(); }, [banded.data]);
  useEffect(() => { if (answer.data) onForeseen(); }, [answer.data]);
  return (
    <>
      {sizes.length > 0 && (
        <fieldset class="sizes">
          <legend>Wick size of {recipe.revision.series.name}</legend>
          <div class="sizes-row">
            {sizes.map((s) => (
              <label key={s.id} class="size-item"><input type="radio" name="wick-shown" checked={s.id === shown} onChange={() => onShow(s.id)} /><span>{s.name}</span></label>
            ))}
          </div>
        </fieldset>
      )}
      <Await answer={answer} what="Burning it to the end of the jar">{(f) => <ForecastView forecast={f} banded={banded.data} busy={banded.loading || !ready} />}</Await>
    </>
  );
}

/** What was measured on the candles of this wick in the test that counts, to lay on its forecast. */
function useFacts(forecast: Forecast) {
  const of = { recipe: forecast.recipe_id };
  const test = useAnswer<VerdictPage>(`/api/recipes/${forecast.recipe_id}/verdict`);
  const readings = useAnswer<{ readings: Reading[] }>(withQuery('/api/readings', of));
  const sessions = useAnswer<{ sessions: Session[] }>(withQuery('/api/sessions', of));
  const codes = test.data?.wicks.find((w) => w.size_id === forecast.wick.size_id)?.candles ?? [];
  const dots = codes.length ? ` Dots were measured on ${codes.join(', ')}${test.data!.revision === forecast.revision ? '' : `, poured from revision ${test.data!.revision}`}.` : '';
  return { codes, dots, readings: readings.data?.readings ?? [], sessions: sessions.data?.sessions ?? [] };
}

function ForecastView({ forecast, banded, busy }: { forecast: Forecast; banded: Forecast | null; busy: boolean }) {
  const [session, setSession] = useState<number | null>(null);
  const limits = useAnswer<{ limits: Limit[] }>('/api/limits');
  const { codes, dots, readings, sessions } = useFacts(forecast);
  const s = forecast.summary;
  const burns = sessionsThatCount(forecast.sessions);
  const xs = burns.map((x) => x.number);
  return (
    <>
      <Player key={forecast.wick.size_id} forecast={forecast} onSession={setSession} />
      <p class="story"><Worded>{said(s.text)}</Worded></p>
      <p class="quiet">
        {s.burn_h_to_stop !== null && <Worded>{`Burns ${show(s.burn_h_to_stop, 'h')} to the stop height. `}</Worded>}
        {banded?.odds?.claim_text && <>{banded.odds.claim_text} </>}
        {banded?.odds?.tested && <strong>{said(`${forecast.wick.size_name}, ${banded.odds.tested.text}.`, [forecast.wick.size_name])}</strong>}
      </p>
      <p class="quiet">{said(forecast.made_of.text)}</p>
      <h3 class="charts-title">Where the heat goes</h3>
      <Heat heat={forecast.heat} />
      <h3 class="charts-title">Session by session</h3>
      <p class="quiet">The line is the candle shown above; the band holds 9 of 10 simulated candles{!banded && busy ? ' and is being burned now…' : '.'}{dots}</p>
      <div class="charts">
        {QUANTITIES.map((q) => (
          <Chart key={q.key} title={q.title} kind={q.kind} xLabel="session" xs={xs} line={burns.map((x) => x[q.key])} points={factsOf(q, readings, sessions, codes)}
            band={bandAt(xs, banded?.intervals?.[q.key])} limit={limitOf(q, limits.data?.limits)} at={session} />
        ))}
      </div>
      <ComputedNote engine={forecast.engine} tables={forecast.tables} seed={forecast.seed} members={banded?.members ?? 0} seconds={forecast.seconds} />
    </>
  );
}
