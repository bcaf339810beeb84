// A number with its conscience: tap it to see how it is known, between what and what, and from where.
import { useId, useState } from 'preact/hooks';
import type { Prop } from '../lib/types';
import { showIn } from '../lib/units';
import { said } from '../lib/said';

export function PropValue({ prop }: { prop: Prop }) {
  const [open, setOpen] = useState(false);
  const id = useId();
  return (
    <>
      <button type="button" class="origin" aria-expanded={open} aria-controls={id} onClick={() => setOpen(!open)}>
        {showIn(prop.value, prop.unit)}<span class="unseen">, origin</span>
        <span class={`how how-${prop.how}`} aria-hidden="true" title={prop.how_text} />
      </button>
      <div id={id} hidden={!open} class="origin-note">
        <p>{capital(prop.how_text)}.</p>
        {prop.lo !== null && prop.hi !== null && <p>Plausible between {showIn(prop.lo, prop.unit)} and {showIn(prop.hi, prop.unit)}.</p>}
        <p>{prop.source ? `Source: ${prop.source_text}.` : 'No source named.'}</p>
        {prop.source_note && <p class="quiet">{full(said(prop.source_note))}</p>}
      </div>
    </>
  );
}

/** A note as a sentence. */
export const full = (s: string): string => (/[.!?]$/.test(s) ? s : `${s}.`);

export const capital = (s: string): string => s.charAt(0).toUpperCase() + s.slice(1);

/** For figures that are computed: engine, tables and seed stand behind them. */
export function ComputedNote({ engine, tables, seed, members, seconds }: { engine: string; tables: string; seed: number; members: number; seconds?: number }) {
  return (
    <p class="quiet computed">
      Computed, not measured: engine {engine}, tables {tables}, seed {seed}
      {members > 0 ? `, ${members} simulated candles` : ', one simulated candle'}
      {seconds !== undefined ? `, ${seconds < 10 ? seconds.toFixed(2) : seconds.toFixed(0)} s` : ''}.
    </p>
  );
}
