// Chances per wick size, side by side: plain words, ten jars, and the numbers for who wants them.
import { useState } from 'preact/hooks';
import type { SizeOdds, Spread } from '../lib/types';
import { num, show, unitOf, type Kind } from '../lib/units';
import { TenJars, tenJars, JarGlyph } from './JarGlyph';
import { said } from '../lib/said';
import { Worded } from './Term';

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

export const chanceWords = (pct: number): string => {
  if (pct >= 95) return 'almost certainly right';
  if (pct >= 75) return 'probably right';
  if (pct >= 55) return 'more likely right than not';
  if (pct >= 40) return 'about even';
  if (pct >= 20) return 'probably not right';
  if (pct >= 5) return 'a slim chance';
  return 'almost certainly wrong';
};

/** Likeliest of those the maker's own candles leave: one they showed right comes first, one they ruled out is none. */
export const bestSize = (sizes: SizeOdds[]): SizeOdds | null => {
  const rank = (o: SizeOdds) => (o.tested?.decided === 'right' ? 200 : o.tested?.against ? -100 : 0) + o.right_pct;
  return sizes.reduce<SizeOdds | null>((a, b) => (a && rank(a) >= rank(b) ? a : b), null);
};

/** What the ten jars of a row mean. */
export function OddsKey({ sizes }: { sizes: SizeOdds[] }) {
  return (
    <p class="legend odds-key" aria-hidden="true">
      <span class="legend-item"><JarGlyph fate="small" /> too small</span>
      <span class="legend-item"><JarGlyph fate="right" /> right</span>
      <span class="legend-item"><JarGlyph fate="big" /> too hot</span>
      <span class="legend-item"><JarGlyph fate="wrong" /> wrong kind</span>
      {sizes.some((o) => tenJars(o).includes('unknown')) && <span class="legend-item"><JarGlyph fate="unknown" /> not to be told</span>}
    </p>
  );
}

interface OddsProps { sizes: SizeOdds[]; chosen?: string | null; onShow?: (sizeId: string) => void; members?: number | undefined }

export function OddsList({ sizes, chosen, onShow, members }: OddsProps) {
  const best = bestSize(sizes);
  return (
    <>
      <OddsKey sizes={sizes} />
      <ol class="odds">
        {sizes.map((o) => <OddsRow key={o.size_id} odds={o} best={best?.size_id === o.size_id && o.right_pct > 0 && !o.tested?.against} shown={chosen === o.size_id} onShow={onShow} members={members} names={sizes.map((x) => x.size_name)} />)}
      </ol>
      <p class="quiet">The jars and shares tell how simulated candles came out.{sizes.some((o) => o.tested?.decided) && ' What your own candles showed counts before them: the chance told under Plan is what doubt is left after those passed, and no share of simulated ones.'}</p>
    </>
  );
}

interface RowProps { odds: SizeOdds; best: boolean; shown: boolean; onShow?: ((sizeId: string) => void) | undefined; members?: number | undefined; names: string[] }

function OddsRow({ odds, best, shown, onShow, members, names }: RowProps) {
  const [open, setOpen] = useState(false);
  const n = tenJars(odds).filter((f) => f === 'right').length;
  const tested = odds.tested?.decided ? odds.tested : null;
  // told already above
  const rest = tested && odds.text.startsWith(`${tested.text}. `) ? odds.text.slice(tested.text.length + 2) : odds.text;
  return (
    <li class={`odds-row${best ? ' best' : ''}${tested?.against ? ' ruled-out' : ''}`}>
      <div class="odds-name">
        <span class="odds-size">{odds.size_name}</span>
        <span class="quiet">{show(odds.linear_density_g_m, 'g_m')}</span>
        {best && <span class="tag">{tested ? 'right by your candles' : 'best odds'}</span>}
      </div>
      <TenJars odds={odds} />
      <div class="odds-words">
        {tested ? <p><strong><Worded>{said(capital(tested.text), names)}</Worded>.</strong></p>
          : <p><strong>Right in {n} of 10</strong> simulated, {chanceWords(odds.right_pct)}.</p>}
        <p class="quiet"><Worded>{said(rest, names).replace(/(\d) %/g, '$1\u00a0%')}</Worded></p>
      </div>
      <div class="odds-acts">
        {onShow && <button type="button" class="button small" disabled={shown} onClick={() => onShow(odds.size_id)}>{shown ? 'Shown above' : 'See it burn'}<span class="unseen"> {odds.size_name}</span></button>}
        <button type="button" class="link" aria-expanded={open} onClick={() => setOpen(!open)}>Numbers<span class="unseen"> of {odds.size_name}</span></button>
      </div>
      {open && <OddsNumbers odds={odds} members={members} />}
    </li>
  );
}

const range = (s: Spread, kind: Kind): string => s.p05 === null ? 'not known' : `${num(s.p05, kind)} to ${num(s.p95, kind)} ${unitOf(kind)}, middle ${num(s.p50, kind)}`;

function OddsNumbers({ odds, members }: { odds: SizeOdds; members?: number | undefined }) {
  const wall = odds.wall_by_session_pct.map((p, i) => `${i + 1}: ${Math.round(p)} %`).slice(0, 6).join(' · ');
  const rows: [string, string][] = [
    ['right', show(odds.right_pct, 'pct', 0)], ['too small', show(odds.too_small_pct, 'pct', 0)],
    ['too hot', show(odds.too_big_pct, 'pct', 0)], ['wrong kind', show(odds.wrong_kind_pct, 'pct', 0)],
    ['not to be told', show(odds.unknown_pct ?? 0, 'pct', 0)], ['goes out before its end', show(odds.drown_pct, 'pct', 0)],
    ['pool at the wall by session', wall], ['burn rate', range(odds.rate_g_h, 'g_h')],
    ['hottest wall', range(odds.wall_max_C, 'C')], ['tallest flame', range(odds.flame_max_mm, 'mm')], ['burn time', range(odds.burn_h, 'h')],
  ];
  return (
    <div class="odds-numbers">
      <table class="plain"><tbody>{rows.map(([k, v]) => <tr key={k}><th scope="row"><Worded>{k}</Worded></th><td>{v}</td></tr>)}</tbody></table>
      <p class="quiet">Computed{members ? ` from ${members} simulated candles` : ''}, each drawn from the ranges of what is known. 9 in 10 lie inside the ranges given.</p>
    </div>
  );
}
