// Small multiples: every candle of the test has its own small chart of one quantity, all with the same
// axes, the forecast of its wick behind it. What differs between brothers shows at once.
import { useEffect, useState } from 'preact/hooks';
import { soFar } from '../lib/candle';
import { factsOf, limitOf, QUANTITIES, sessionsThatCount, type Quantity } from '../lib/facts';
import { useForecast } from '../lib/forecast';
import type { Candle, Finding, Forecast, Limit, Reading, Recipe, Session, VerdictPage } from '../lib/types';
import { Chart, type Point } from './Chart';
import { said } from '../lib/said';

interface EachProps {
  /** What was learned is at hand. */
  known: boolean;
  recipe: Recipe; page: VerdictPage; candles: Candle[]; readings: Reading[]; sessions: Session[]; limits: Limit[] | undefined;
}

const CHOICES = QUANTITIES.filter((q) => q.key !== 'reach_pct' && q.key !== 'hangup_g');

export function EachCandle({ known, recipe, page, candles, readings, sessions, limits }: EachProps) {
  const [key, setKey] = useState(CHOICES[0]!.key);
  const [forecasts, setForecasts] = useState<Record<string, Forecast>>({});
  const q = CHOICES.find((c) => c.key === key)!;
  const all = page.wicks.flatMap((w) => w.candles);
  const points = factsOf(q, readings, sessions, all);
  const lines = Object.values(forecasts).flatMap((f) => sessionsThatCount(f.sessions).map((s) => s[q.key]));
  const hold = [...points.map((p) => p.y), ...lines];
  const last = Math.max(1, ...points.map((p) => p.x), ...Object.values(forecasts).map((f) => sessionsThatCount(f.sessions).length));
  return (
    <>
      <fieldset class="sizes">
        <legend>Quantity</legend>
        <div class="sizes-row">
          {CHOICES.map((c) => (
            <label key={c.key} class="size-item"><input type="radio" name="each-quantity" checked={c.key === key} onChange={() => setKey(c.key)} /><span>{c.title}</span></label>
          ))}
        </div>
      </fieldset>
      <div class="each-wicks">
      {page.wicks.map((w) => (
        <OneWick key={w.size_id} {...{ known, recipe, q, points, hold, last, limits }} revision={page.revision} wick={w} candles={candles}
          onForecast={(f) => setForecasts((now) => (now[w.size_id] === f ? now : { ...now, [w.size_id]: f }))} />
      ))}
      </div>
      <p class="quiet">Every chart has the same axes. Dots are measured and joined for one candle; the line without dots is the forecast of its wick from the middle of what is known.</p>
    </>
  );
}

interface OneProps {
  known: boolean;
  recipe: Recipe; revision: number; wick: VerdictPage['wicks'][number]; q: Quantity; points: Point[]; hold: (number | null)[]; last: number;
  candles: Candle[]; limits: Limit[] | undefined; onForecast: (f: Forecast) => void;
}

function OneWick({ known, recipe, revision, wick, q, points, hold, last, candles, limits, onForecast }: OneProps) {
  const answer = useForecast(recipe.id, wick.size_id, revision, known);
  useEffect(() => { if (answer.data) onForecast(answer.data); }, [answer.data]);
  const line = answer.data && sessionsThatCount(answer.data.sessions).map((s) => s[q.key]);
  const xs = Array.from({ length: last }, (_, i) => i + 1);
  return (
    <div class="each" style={{ flex: `${wick.candles.length} 1 ${15 * wick.candles.length}rem`, maxWidth: `${19.2 * wick.candles.length}rem` }}>
      <h3>{wick.size_name} <span class={`each-kind v-${wick.verdict.kind}`}>{wick.verdict.kind_text}</span></h3>
      <div class="each-charts">
        {wick.candles.map((code) => {
          const candle = candles.find((c) => c.code === code);
          const bad = heaviest(wick.verdict.findings.filter((f) => f.candle === code));
          return (
            <div key={code} class="each-candle">
              <Chart title={code} kind={q.kind} xLabel="session" xs={xs} height={150} hold={hold} joined
                {...(line ? { line: xs.map((x) => line[x - 1] ?? null) } : {})} points={points.filter((p) => p.label === code)} limit={limitOf(q, limits)} quietLimit />
              <p class="quiet each-under">
                {candle && soFar(candle)}
                {bad && <span class="each-bad"><b>{bad.requirement}</b> {said(bad.text.replace(`${code}, `, ''))}</span>}
              </p>
            </div>
          );
        })}
      </div>
    </div>
  );
}

const RANK: Record<Finding['weight'], number> = { stop: 0, against: 1, warn: 2, note: 3 };

const heaviest = (list: Finding[]): Finding | undefined => list.filter((f) => f.weight !== 'note').sort((a, b) => RANK[a.weight] - RANK[b.weight])[0];
