// The keypad of the bench: one thumb, one reading at a time, then the next one of the round.
// A refused reading stays typed with the reason above it.
import { useEffect, useLayoutEffect, useRef, useState } from 'preact/hooks';
import { rangeOf } from '../lib/fields';
import { choicesOf, padUnits } from '../lib/kinds';
import type { ReadingKind } from '../lib/types';
import { TermMark } from './Term';

export interface PadAsk {
  code: string;
  size: string;
  kind: ReadingKind;
  /** "61 mm at 30 min" */
  last: string;
  /** The last value as it would be typed, and as it is shown; '' when there is none. */
  same: string;
  sameShown: string;
  expected: string;
  step: string;
  typed: string;
  correcting: boolean;
}

interface PadProps {
  ask: PadAsk;
  problem: string;
  busy: boolean;
  minute: string;
  onMinute: (text: string) => void;
  minuteNow: string;
  /** The value written down just before this one, for undoing it. */
  saved: string;
  onSave: (value: string) => void;
  onSkip: () => void;
  onBack: () => void;
  onClose: () => void;
}

const KEYS = ['1', '2', '3', '4', '5', '6', '7', '8', '9', '.', '0', '⌫'];
const KEY_NAME: Record<string, string> = { '⌫': 'Delete last digit', '.': 'Point' };

export function Pad(props: PadProps) {
  const { ask, problem, busy } = props;
  const choices = choicesOf(ask.kind);
  const head = useRef<HTMLHeadingElement>(null);
  const [when, setWhen] = useState(false);
  useEffect(() => {
    // where there are keys the digits have it already, and can be typed at once
    if (!document.activeElement?.closest('.pad-show')) head.current?.focus({ preventScroll: true });
  }, [ask.code, ask.kind.key]);
  return (
    <div class="pad" role="dialog" aria-modal="false" aria-labelledby="pad-title" onKeyDown={(e) => { if (e.key === 'Escape') props.onClose(); }}>
      <div class="pad-head">
        <div>
          <p class="pad-candle"><strong>{ask.code}</strong> {ask.size} <span class="quiet">{ask.step}</span></p>
          <div class="titled"><h2 id="pad-title" tabIndex={-1} ref={head}>{ask.correcting ? 'Correct: ' : ''}{ask.kind.label}</h2><TermMark of={ask.kind.label} /></div>
        </div>
        <button type="button" class="button quiet-button" onClick={props.onClose}>Close</button>
      </div>
      <p class="pad-last quiet">{[ask.last, ask.expected].filter(Boolean).join(' · ') || [ask.kind.help, choices ? '' : rangeOf(ask.kind)].filter(Boolean).join(' · ') || 'First reading of this kind'}</p>
      {choices ? (
        <Choices key={ask.code + ask.kind.key} kind={ask.kind} choices={choices} last={choices.some((c) => c.value === ask.same) ? ask.same : ask.sameShown} problem={problem} busy={busy} onSave={props.onSave} />
      ) : (
        <Digits key={ask.code + ask.kind.key + ask.typed} ask={ask} problem={problem} busy={busy} onSave={props.onSave} />
      )}
      <div class="pad-foot">
        <button type="button" class="button quiet-button" onClick={props.onBack}>{props.saved ? `Undo ${props.saved}` : 'Back'}</button>
        {when ? (
          <label class="pad-minute">minute <input inputMode="decimal" value={props.minute} placeholder={props.minuteNow} aria-label="Minute after lighting" onInput={(e) => props.onMinute(e.currentTarget.value)} /></label>
        ) : (
          <button type="button" class="link" onClick={() => setWhen(true)}>{props.minute ? `minute ${props.minute}` : 'now'}<span class="unseen">, change the minute</span></button>
        )}
        <button type="button" class="button quiet-button" onClick={props.onSkip}>Skip</button>
      </div>
    </div>
  );
}

interface DigitsProps { ask: PadAsk; problem: string; busy: boolean; onSave: (value: string) => void }

function Digits({ ask, problem, busy, onSave }: DigitsProps) {
  const units = padUnits(ask.kind);
  const [text, setText] = useState(ask.typed.replace(/[^\d.\-]/g, ''));
  const [unit, setUnit] = useState(units.find((u) => u && ask.typed.endsWith(u)) ?? units[0] ?? '');
  const field = useRef<HTMLInputElement>(null);
  // before the pad itself looks for a place for the focus
  useLayoutEffect(() => { if (matchMedia('(pointer: fine)').matches) field.current?.focus({ preventScroll: true }); }, []);
  const press = (key: string) => {
    if (key === '⌫') setText(text.slice(0, -1));
    else if (key !== '.' || !text.includes('.')) setText(text + key);
  };
  // fills in, does not save: what is kept was looked at
  const take = (typed: string) => {
    setText(typed.replace(/[^\d.\-]/g, ''));
    setUnit(units.find((u) => u && typed.endsWith(u)) ?? units[0] ?? '');
  };
  const save = () => { if (text.trim()) onSave(unit ? `${text.trim()} ${unit}` : text.trim()); };
  return (
    <form class="pad-body" onSubmit={(e) => { e.preventDefault(); save(); }}>
      {problem && <p class="pad-problem" role="alert" id="pad-problem">{problem}</p>}
      <div class={problem ? 'pad-show has-problem' : 'pad-show'}>
        {ask.same && !ask.correcting && !text && <button type="button" class="link pad-same" onClick={() => take(ask.same)}>as before, {ask.sameShown}</button>}
        <input ref={field} inputMode="none" autocomplete="off" value={text} aria-label={`${ask.kind.label}${unit ? ` in ${unit}` : ''}`}
          aria-invalid={problem ? 'true' : undefined} aria-describedby={problem ? 'pad-problem' : undefined}
          onInput={(e) => setText(e.currentTarget.value)} />
        {units.length > 1 ? (
          <button type="button" class="pad-unit" onClick={() => setUnit(units[(units.indexOf(unit) + 1) % units.length]!)} aria-label={`Unit ${unit}, change`}>{unit}</button>
        ) : (
          unit && <span class="pad-unit">{unit}</span>
        )}
      </div>
      <div class="pad-keys">
        {KEYS.map((k) => (
          <button key={k} type="button" class="pad-key" onClick={() => press(k)} aria-label={KEY_NAME[k]}>{k}</button>
        ))}
      </div>
      <button type="submit" class="button main pad-save" disabled={busy || !text.trim()}>{ask.correcting ? 'Save the correction' : 'Save and next'}</button>
    </form>
  );
}

interface ChoicesProps { kind: ReadingKind; choices: { value: string; label: string }[]; last: string; problem: string; busy: boolean; onSave: (value: string) => void }

/** A second tap of the same thumb must not answer the next question. */
const DOUBLE_TAP_MS = 300;

function Choices({ kind, choices, last, problem, busy, onSave }: ChoicesProps) {
  const [fresh, setFresh] = useState(true);
  useEffect(() => {
    const timer = setTimeout(() => setFresh(false), DOUBLE_TAP_MS);
    return () => clearTimeout(timer);
  }, []);
  return (
    <div class="pad-body">
      {problem && <p class="pad-problem" role="alert">{problem}</p>}
      <div class="pad-choices" role="group" aria-label={kind.label}>
        {choices.map((c) => (
          <button key={c.value} type="button" class="pad-choice" disabled={busy || fresh} onClick={() => onSave(c.value)}>{c.label}{c.value === last && <span class="quiet"> as before</span>}</button>
        ))}
      </div>
    </div>
  );
}
