// Forecast against fact: the band of simulated candles, the dots that were measured.
import { bandAt, factsOf, limitOf, QUANTITIES, sessionsThatCount } from '../lib/facts';
import type { Forecast, Limit, Reading, Session } from '../lib/types';
import { Chart } from './Chart';
import { Loading } from './Page';

interface AgainstProps { forecast: Forecast; waiting: boolean; readings: Reading[]; sessions: Session[]; codes: string[]; limits?: Limit[] | undefined }

export function Against({ forecast, waiting, readings, sessions, codes, limits }: AgainstProps) {
  const burns = sessionsThatCount(forecast.sessions);
  const xs = burns.map((s) => s.number);
  const drawn = QUANTITIES.map((q) => ({ q, points: factsOf(q, readings, sessions, codes) })).filter(({ q, points }) => points.length > 0 || (q.reading && q.key !== 'reach_pct'));
  return (
    <>
      {waiting && <Loading what="Burning the band" />}
      <div class="charts four">
        {drawn.map(({ q, points }) => (
          <Chart key={q.key} title={q.title} kind={q.kind} xLabel="session" xs={xs} line={burns.map((s) => s[q.key])} points={points}
            limit={limitOf(q, limits)} band={bandAt(xs, forecast.intervals?.[q.key])} />
        ))}
      </div>
    </>
  );
}
