// Odds as a picture: ten little jars, each burning the way the forecast says it may.
// Their shapes differ, so the picture reads in grey.
import type { SizeOdds } from '../lib/types';

export type Fate = 'small' | 'right' | 'big' | 'wrong' | 'unknown';

export function JarGlyph({ fate }: { fate: Fate }) {
  return (
    <svg viewBox="0 0 24 34" class={`glyph glyph-${fate}`} aria-hidden="true">
      {fate === 'small' && <path class="glyph-wax" d="M4 14h5v9h6v-9h5v17H4z" />}
      {fate !== 'small' && <path class="glyph-wax" d={fate === 'big' ? 'M4 26h16v5H4z' : 'M4 21h16v10H4z'} />}
      {fate === 'right' && <path class="glyph-pool" d="M4 17.500h16v3.500H4z" />}
      {fate === 'small' && <path class="glyph-pool" d="M9 20.500h6V23H9z" />}
      {fate === 'big' && <path class="glyph-pool" d="M4 16h16v10H4z" />}
      {fate === 'wrong' && <path class="glyph-pool" d="M4 17.500h16v3.500H4z" />}
      <path class="glyph-glass" d="M3.500 11v19a1.500 1.500 0 0 0 1.500 1.500h14a1.500 1.500 0 0 0 1.500-1.500V11" />
      {fate === 'right' && <path class="glyph-flame" d="M12 7.500c1.700 2.400 2.600 3.900 2.600 5.600a2.600 2.600 0 0 1-5.200 0c0-1.700.9-3.200 2.600-5.600z" />}
      {fate === 'small' && <path class="glyph-flame" d="M12 14.500c.9 1.300 1.400 2.100 1.400 3a1.400 1.400 0 0 1-2.800 0c0-.9.500-1.700 1.400-3z" />}
      {fate === 'big' && <path class="glyph-flame" d="M12 .8c2.400 4 3.700 6.600 3.700 9.500a3.700 3.700 0 0 1-7.400 0C8.300 7.400 9.600 4.800 12 .8z" />}
      {fate === 'unknown' && <text class="glyph-ask" x="12" y="12.500" text-anchor="middle">?</text>}
      {fate === 'wrong' && <path class="glyph-out" d="M12 16.500v-4M12 10c-1.600-1.200 1.600-2.600 0-4.200M12 4c-1-.8 1-1.700 0-2.700" />}
    </svg>
  );
}

/** Ten whole jars for the four chances, by largest remainder. */
export function tenJars(o: Pick<SizeOdds, 'too_small_pct' | 'right_pct' | 'too_big_pct' | 'wrong_kind_pct' | 'unknown_pct'>): Fate[] {
  const parts: { fate: Fate; x: number }[] = [
    { fate: 'small', x: o.too_small_pct / 10 }, { fate: 'right', x: o.right_pct / 10 },
    { fate: 'big', x: o.too_big_pct / 10 }, { fate: 'wrong', x: o.wrong_kind_pct / 10 }, { fate: 'unknown', x: (o.unknown_pct ?? 0) / 10 },
  ];
  const whole = parts.map((p) => Math.floor(p.x + 1e-9));
  const rest = parts.map((p, i) => ({ i, rest: p.x - whole[i]! })).sort((a, b) => b.rest - a.rest);
  let missing = 10 - whole.reduce((a, b) => a + b, 0);
  for (const { i } of rest) {
    if (missing <= 0) break;
    whole[i]!++;
    missing--;
  }
  return parts.flatMap((p, i) => Array<Fate>(Math.max(0, whole[i]!)).fill(p.fate));
}

export function TenJars({ odds }: { odds: SizeOdds }) {
  const jars = tenJars(odds);
  const count = (f: Fate) => jars.filter((j) => j === f).length;
  const words = [
    `right in ${count('right')} of 10`, `too small in ${count('small')}`, `too hot in ${count('big')}`,
    count('wrong') ? `wrong kind in ${count('wrong')}` : '', count('unknown') ? `not to be told in ${count('unknown')}` : '',
  ].filter(Boolean).join(', ');
  return (
    <div class="ten" role="img" aria-label={words}>
      {jars.map((f, i) => <JarGlyph key={i} fate={f} />)}
    </div>
  );
}
