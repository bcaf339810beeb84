// Why the flame burns as foreseen: what holds it back, and which unknowns move the forecast most,
// each from the low to the high end of its likely range on one common ruler. Asked for when opened.
import { useState } from 'preact/hooks';
import { withQuery } from '../lib/api';
import { useAnswer } from '../lib/live';
import type { Recipe } from '../lib/types';
import { getSystem, inShown, num, plain, unitOf, type Kind } from '../lib/units';
import { plural, sizeWord } from '../lib/when';
import { Await } from './Page';
import { said } from '../lib/said';
import { Worded } from './Term';

interface Outcome { rate_g_h: number; reach_pct: number; depth_mid_mm: number; wall_max_C: number; flame_max_mm: number }
interface Factor {
  factor: string; label: string; owner: string; unit: string; lo: number; hi: number; low: Outcome; high: Outcome; weight: number; estimated: boolean;
}
interface WhyAnswer {
  size_name: string; sessions: number; nominal: Outcome; factors: Factor[]; text: string;
  limit: { at_mm: number; demand_over_supply: number; text: string };
}

/** `less` and `more` are said of the quantity when the unknown rises; under `small` it hardly moves. */
interface Row { key: 'reach_pct' | 'wall_max_C' | 'rate_g_h'; title: string; kind: Kind; less: string; more: string; small: number }
const ROWS: Row[] = [
  { key: 'reach_pct', title: 'pool reach', kind: 'pct', less: 'the pool stays narrower', more: 'the pool spreads wider', small: 4 },
  { key: 'wall_max_C', title: 'hottest wall', kind: 'C', less: 'the wall stays cooler', more: 'the wall gets hotter', small: 1.5 },
  { key: 'rate_g_h', title: 'burn rate', kind: 'g_h', less: 'it burns slower', more: 'it burns faster', small: 0.2 },
];
const SHOWN = 4;
const COUNT = ['no', 'one', 'two', 'three', 'four'];

export function Why({ recipe, wick }: { recipe: Recipe; wick: string | null }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="why" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>What limits the flame</summary>
      {open && wick && <Opened recipe={recipe} wick={wick} />}
      {open && !wick && <p class="quiet">Choose a wick size above first.</p>}
    </details>
  );
}

function Opened({ recipe, wick }: { recipe: Recipe; wick: string }) {
  const answer = useAnswer<WhyAnswer>(withQuery(`/api/recipes/${recipe.id}/why`, { wick, revision: recipe.revision.number }));
  return <Await answer={answer} what="Burning it once for each unknown">{(w) => <Told why={w} />}</Await>;
}

function Told({ why }: { why: WhyAnswer }) {
  const list = why.factors.slice(0, SHOWN);
  const rest = why.factors.slice(SHOWN);
  return (
    <>
      <p class="story"><Worded>{said(why.limit.text)}</Worded></p>
      <h3>The {COUNT[list.length] ?? list.length} unknowns that matter most</h3>
      <p class="quiet why-key">
        {sizeWord(why.size_name)} after {plural(why.sessions, 'session')}. Open dot: the unknown at the low end of its likely range; full dot: at the high end;
        upright line: as foreseen, all else the same. Every ruler of one kind has the same ends.
      </p>
      <ol class="why-list">
        {list.map((f) => (
          <li key={f.factor}>
            <p class="why-name"><b><Worded>{f.label}</Worded></b> <span class="tag">{ownerOf(f.owner)}</span></p>
            <p class="quiet">{likely(f)} {effect(f)}</p>
            {ROWS.map((row) => <Ruler key={row.key} row={row} factor={f} why={why} list={list} />)}
          </li>
        ))}
      </ol>
      {rest.length > 0 && (
        <p class="quiet">
          Smaller, in this order: {rest.map((f) => f.label).join('; ')}.
          {rest.some((f) => f.estimated) && ' These were estimated on a round jar of each wick’s equal share of the wax.'}
        </p>
      )}
    </>
  );
}

const ownerOf = (owner: string): string => (owner === 'candle' ? 'from candle to candle' : `belongs to the ${owner}`);

function likely(f: Factor): string {
  if (f.unit === 'times') return `Likely between ${plain(round(f.lo))} and ${plain(round(f.hi))} times what is reckoned with.`;
  const us = getSystem() === 'us';
  const deg = (x: number) => `${Math.abs(us ? x * 1.8 : x).toFixed(0)} °${us ? 'F' : 'C'} ${x < 0 ? 'lower' : 'higher'}`;
  return `Likely between ${deg(f.lo)} and ${deg(f.hi)} than reckoned with.`;
}

const round = (x: number): number => Math.round(x * 100) / 100;

/** Low against high end, in words. */
function effect(f: Factor): string {
  const said = ROWS.flatMap((r) => {
    const d = f.high[r.key] - f.low[r.key];
    return Math.abs(d) < r.small ? [] : [d > 0 ? r.more : r.less];
  });
  if (!said.length) return 'Either way about the same happens.';
  const last = said.pop()!;
  return `Towards the high end ${said.length ? `${said.join(', ')} and ${last}` : last}.`;
}

const W = 200;

function Ruler({ row, factor, why, list }: { row: Row; factor: Factor; why: WhyAnswer; list: Factor[] }) {
  const every = [why.nominal[row.key], ...list.flatMap((f) => [f.low[row.key], f.high[row.key]])];
  const [min, max] = [Math.min(...every), Math.max(...every)];
  const X = (v: number) => 8 + ((v - min) / (max - min || 1)) * (W - 16);
  const [a, b, mid] = [factor.low[row.key], factor.high[row.key], why.nominal[row.key]];
  const inner = row.kind === 'pct' ? '\u202f' : '\u00a0';
  const digits = row.kind === 'g_h' && inShown(1, 'g_h') === 1 ? 1 : undefined;
  return (
    <div class="why-row">
      <span class="why-what"><Worded>{row.title}</Worded></span>
      <svg viewBox={`0 0 ${W} 20`} aria-hidden="true">
        <path class="why-rule" d={`M8 10H${W - 8}`} />
        <path class="why-span" d={`M${X(a)} 10H${X(b)}`} />
        <path class="why-mid" d={`M${X(mid)} 3V17`} />
        <circle class="why-low" cx={X(a)} cy="10" r="4.5" />
        <circle class="why-high" cx={X(b)} cy="10" r="5" />
      </svg>
      <span class="why-ends">{num(a, row.kind, digits)} to {num(b, row.kind, digits)}{inner}{unitOf(row.kind)}</span>
    </div>
  );
}
