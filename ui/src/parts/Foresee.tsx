// The forecast of one wick size: the player, its story in a sentence, charts over the sessions.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useAnswer } from '../lib/live';
import type { BandKey, Forecast, Limit, Recipe, Size } from '../lib/types';
import { show, type Kind } from '../lib/units';
import { Chart } from './Chart';
import { ComputedNote } from './Origin';
import { Await } from './Page';
import { Player } from './Player';

const MEMBERS = 32;

interface ForeseeProps {
  recipe: Recipe;
  sizes: Size[];
  shown: string | null;
  onShow: (id: string) => void;
  /** The odds are in: time to burn the band. */
  ready: boolean;
}

export function Foresee({ recipe, sizes, shown, onShow, ready }: ForeseeProps) {
  const base = `/api/recipes/${recipe.id}/forecast`;
  const answer = useAnswer<Forecast>(shown ? withQuery(base, { wick: shown, revision: recipe.revision.number }) : null);
  const banded = useAnswer<Forecast>(shown && answer.data && ready ? withQuery(base, { wick: shown, revision: recipe.revision.number, members: MEMBERS }) : null);
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

const CHARTS: { key: BandKey; title: string; kind: Kind; limit?: string }[] = [
  { key: 'rate_g_h', title: 'Burn rate', kind: 'g_h' },
  { key: 'reach_pct', title: 'Pool reach', kind: 'pct' },
  { key: 'depth_mid_mm', title: 'Pool depth, half way', kind: 'mm', limit: 'pool_depth' },
  { key: 'wall_max_C', title: 'Hottest wall', kind: 'C', limit: 'wall' },
  { key: 'flame_max_mm', title: 'Tallest flame', kind: 'mm', limit: 'flame' },
  { key: 'hangup_g', title: 'Wax left on the wall', kind: 'g' },
];

function ForecastView({ forecast, banded, busy }: { forecast: Forecast; banded: Forecast | null; busy: boolean }) {
  const [session, setSession] = useState<number | null>(null);
  const limits = useAnswer<{ limits: Limit[] }>('/api/limits');
  const s = forecast.summary;
  return (
    <>
      <Player key={forecast.wick.size_id} forecast={forecast} onSession={setSession} />
      <p class="story">{s.text}</p>
      <p class="quiet">
        {s.burn_h_to_stop !== null && <>Burns {show(s.burn_h_to_stop, 'h')} to the stop height. </>}
        {s.burn_h_claim !== null && <>A label could claim {show(s.burn_h_claim, 'h', 0)}, the low end. </>}
        {forecast.heat.text}
      </p>
      <h3 class="charts-title">Session by session</h3>
      <p class="quiet">The line is the forecast from the middle of what is known; the band holds 9 of 10 simulated candles{!banded && busy ? ' and is being burned now…' : '.'}</p>
      <div class="charts">
        {CHARTS.map((c) => {
          const line = forecast.sessions.map((x) => x[c.key]);
          const band = banded?.intervals?.[c.key];
          const xs = forecast.sessions.map((x) => x.number);
          return <Chart key={c.key} title={c.title} kind={c.kind} xLabel="session" xs={xs} line={line} band={band && alignBand(xs, band)} limit={limitFor(limits.data?.limits, c.limit)} at={session} />;
        })}
      </div>
      <ComputedNote engine={forecast.engine} tables={forecast.tables} seed={forecast.seed} members={banded?.members ?? 0} seconds={forecast.seconds} />
    </>
  );
}

/** Bands of the sessions drawn; sessions few members reached repeat the last known band. */
function alignBand(xs: number[], band: { session: number; p05: number; p50: number; p95: number }[]): { lo: number; mid: number; hi: number }[] | undefined {
  if (!band.length) return undefined;
  return xs.map((x) => {
    const b = band.find((k) => k.session === x) ?? band[band.length - 1]!;
    return { lo: b.p05, mid: b.p50, hi: b.p95 };
  });
}

function limitFor(limits: Limit[] | undefined, part: string | undefined): { value: number; name: string } | undefined {
  const found = part ? limits?.find((l) => l.key.includes(part) && (l.unit === 'mm' || l.unit.includes('C'))) : undefined;
  return found && { value: found.value, name: `limit ${show(found.value, found.unit === 'mm' ? 'mm' : 'C', 0)}, ${found.owner}` };
}
