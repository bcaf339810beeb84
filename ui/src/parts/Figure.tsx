// Numbers as they are read: a generous numeral, its unit small beside it, what it is below.
import type { ComponentChildren } from 'preact';
import { num, show, unitOf, type Kind } from '../lib/units';
import { Worded } from './Term';

interface FigureProps {
  label: string;
  value: number | null | undefined;
  kind?: Kind;
  digits?: number;
  note?: ComponentChildren;
  lo?: number | null | undefined;
  hi?: number | null | undefined;
}

export function Figure({ label, value, kind = 'none', digits, note, lo, hi }: FigureProps) {
  const text = num(value, kind, digits);
  const unit = text === '–' ? '' : unitOf(kind);
  const range = lo !== null && lo !== undefined && hi !== null && hi !== undefined;
  return (
    <div class="figure">
      <dt><Worded>{label}</Worded></dt>
      <dd>
        <span class="figure-number">{text === '–' ? <span class="figure-unknown">not known</span> : text}</span>
        {unit && <span class="figure-unit">{unit === '%' ? '\u202f' : '\u00a0'}{unit}</span>}
        {range && <span class="figure-range">{num(lo, kind, digits)} to {show(hi, kind, digits)}</span>}
        {note && <span class="figure-note">{note}</span>}
      </dd>
    </div>
  );
}

export function Figures({ children, small }: { children: ComponentChildren; small?: boolean }) {
  return <dl class={small ? 'figures small' : 'figures'}>{children}</dl>;
}
