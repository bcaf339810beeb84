// A slider with a number field: dragged, typed, or moved with the arrow keys. A mark under it stands
// where the recipe is now.
import { useId, useState } from 'preact/hooks';
import { guess } from '../lib/guess';
import { isTurned, plainKnob, sayKnob, type Knob, type Turned } from '../lib/knobs';
import { typedUnits, unitOf } from '../lib/units';
import { TermMark } from './Term';

interface SlideProps { knob: Knob; turned: Turned; onTurn: (x: number) => void }

const THUMB_REM = 1.1;
// a small letter and the narrowest slider, in rem: the mark is left out where it would run into an end
const LETTER_REM = 0.42;
const SLIDER_REM = 18.5;

export function Slide({ knob: k, turned, onTurn }: SlideProps) {
  const id = useId();
  const value = turned[k.key] ?? k.stands;
  const moved = isTurned(k, turned);
  const share = (k.stands - k.min) / (k.max - k.min || 1);
  const [first, last] = [k.names?.[0] ?? plainKnob(k, k.min), k.names?.[k.max] ?? sayKnob(k, k.max)];
  const mark = `now ${k.names?.[k.stands] ?? plainKnob(k, k.stands)}`;
  const clear = (end: string) => (LETTER_REM * (end.length + mark.length / 2) + 0.5) / SLIDER_REM;
  // every place the slider can take lies on its steps from the least; the recipe's own is among them
  const least = k.stands - Math.floor((k.stands - k.min) / k.step + 1e-9) * k.step;
  return (
    <div class={moved ? 'slide moved' : 'slide'}>
      <div class="slide-head">
        <span class="slide-label"><label for={id}>{k.label}</label> <TermMark of={k.label} /></span>
        {k.names
          ? <output class="slide-name" for={id}>{sayKnob(k, value)}</output>
          : <NumberField knob={k} value={value} onTurn={onTurn} />}
      </div>
      <input id={id} type="range" min={least} max={k.max} step={k.step} value={value} aria-valuetext={sayKnob(k, value)} onInput={(e) => onTurn(Number(e.currentTarget.value))} />
      <div class="slide-ends" aria-hidden="true">
        <span>{first}</span>
        {share > clear(first) && share < 1 - clear(last) && <span class="slide-stands" style={{ left: `calc(${(100 * share).toFixed(2)}% + ${((0.5 - share) * THUMB_REM).toFixed(3)}rem)` }}>{mark}</span>}
        <span>{last}</span>
      </div>
      {moved && <button type="button" class="link slide-back" onClick={() => onTurn(k.stands)}>Back to {sayKnob(k, k.stands)}<span class="unseen">, {k.label}</span></button>}
    </div>
  );
}

/** Takes a number, or a quantity with a unit of its own; outside the range it says so and keeps what was typed. */
function NumberField({ knob: k, value, onTurn }: { knob: Knob; value: number; onTurn: (x: number) => void }) {
  const id = useId();
  const [typed, setTyped] = useState<string | null>(null);
  const read = typed === null ? value : k.kind === 'none' ? Number(typed) : guess(typed, k.kind, typedUnits(k.kind)[0] ?? '');
  const good = read !== null && Number.isFinite(read) && read >= k.min - 1e-9 && read <= k.max + 1e-9 && (k.kind !== 'none' || Number.isInteger(read));
  const take = (text: string) => {
    setTyped(text);
    const x = k.kind === 'none' ? Number(text || NaN) : guess(text, k.kind, typedUnits(k.kind)[0] ?? '');
    if (x !== null && Number.isFinite(x) && x >= k.min && x <= k.max && (k.kind !== 'none' || Number.isInteger(x))) onTurn(Number(x.toFixed(2)));
  };
  return (
    <span class="slide-number">
      <span class={good ? 'field-box' : 'field-box wrong'}>
        <input type="text" inputMode="decimal" autocomplete="off" aria-label={`${k.label}, number`} aria-invalid={good ? undefined : 'true'} aria-describedby={good ? undefined : id}
          value={typed ?? plainKnob(k, value)} onInput={(e) => take(e.currentTarget.value)} onBlur={() => setTyped(null)} />
        {unitOf(k.kind) && <span class="field-unit" aria-hidden="true">{unitOf(k.kind)}</span>}
      </span>
      {!good && <span class="field-problem" id={id} role="alert">{plainKnob(k, k.min)} to {sayKnob(k, k.max)}</span>}
    </span>
  );
}
