// One labelled input each: label above, help and unit below, the door's refusal at the field.
import type { ComponentChildren } from 'preact';
import { useId } from 'preact/hooks';
import { lineOf, rowOf, type FieldRow } from '../lib/fields';
import { problemAt, useFormState } from '../lib/form';
import { guess } from '../lib/guess';
import { show, typedUnits, type Kind } from '../lib/units';
import { TermMark } from './Term';

interface Common {
  name: string;
  label: string;
  help?: ComponentChildren;
  /** 'quiet' where the whole section is optional and says so itself. */
  optional?: boolean | 'quiet';
  /** Shown only to screen readers: for columns that have a heading of their own. */
  quiet?: boolean;
  onFocus?: () => void;
}

interface FieldProps extends Common {
  kind?: Kind;
  area?: boolean;
  example?: string;
  /** A number: what it may be. Found in the door's table by the field's name, or by `as` where the form has another. */
  row?: FieldRow;
  as?: string;
  /** One of a row of equal fields: the range stands elsewhere once, and is read out at this one. */
  again?: boolean;
}

function useField(name: string) {
  const form = useFormState();
  const id = useId();
  const problem = problemAt(form.problem, name);
  return { id, form, value: form.values[name] ?? '', problem, set: (v: string) => form.set({ [name]: v }) };
}

function Label({ id, label, optional, quiet }: { id: string } & Pick<Common, 'label' | 'optional' | 'quiet'>) {
  return (
    <div class={quiet ? 'unseen' : 'field-head'}>
      <label for={id} class="field-label">
        {label}
        {optional === true && <span class="field-optional"> optional</span>}
      </label>
      {!quiet && <TermMark of={label} />}
    </div>
  );
}

interface NotesProps { id: string; help?: ComponentChildren; problem: string; echo?: string; range?: string | undefined; again?: boolean | undefined }

function Notes({ id, help, problem, echo, range, again }: NotesProps) {
  return (
    <>
      {problem && <p class="field-problem" id={`${id}-p`}>{problem}</p>}
      {(help || echo || range) && (
        <p class={again && !help && !echo ? 'unseen' : 'field-help'} id={`${id}-h`}>
          {echo && <span class="field-echo">= {echo}</span>}
          {echo && (help || (range && !again)) ? ' · ' : ''}
          {range && <span class={again ? 'field-range unseen' : 'field-range'}>{range}</span>}
          {range && help ? <span class={again ? 'unseen' : undefined}> · </span> : ''}
          {help}
        </p>
      )}
    </>
  );
}

const describedBy = (id: string, help: unknown, problem: string): string | undefined =>
  [problem && `${id}-p`, help ? `${id}-h` : ''].filter(Boolean).join(' ') || undefined;

/** Text or quantity: sent to the door as typed. */
export function Field({ name, label, help, optional, quiet, kind, area, example, row, as, again, onFocus }: FieldProps) {
  const { id, form, value, problem, set } = useField(name);
  const takes = row ?? rowOf(form.about, as ?? name);
  const line = takes && (typeof help === 'string' || help === undefined) ? lineOf(takes, example, help) : null;
  const note = line ? line.help : (help ?? (example && `for example ${example}`));
  const unit = kind ? (typedUnits(kind)[0] ?? '') : '';
  const echo = kind ? echoOf(value, kind, unit) : '';
  const common = {
    id, value, name, autocomplete: 'off', spellcheck: false,
    'aria-invalid': problem ? ('true' as const) : undefined,
    'aria-describedby': describedBy(id, note || echo || takes, problem),
    'aria-required': optional ? undefined : ('true' as const), onFocus,
  };
  return (
    <div class={problem ? 'field has-problem' : 'field'}>
      <Label {...{ id, label, optional, quiet }} />
      <div class={unit ? 'field-box with-unit' : 'field-box'}>
        {area ? (
          <textarea {...common} rows={2} onInput={(e) => set(e.currentTarget.value)} />
        ) : (
          <input {...common} type="text" onInput={(e) => set(e.currentTarget.value)} />
        )}
        {unit && <span class="field-unit" aria-hidden="true">{/^[CF]$/.test(unit) ? `°${unit}` : unit}</span>}
      </div>
      <Notes id={id} problem={problem} echo={echo} help={note} range={line?.range} again={again} />
    </div>
  );
}

/** What the page makes of a typed quantity with another unit: a slip of units shows at once. */
function echoOf(value: string, kind: Kind, unit: string): string {
  const x = guess(value, kind, unit);
  if (x === null || !/[a-z"°/]/i.test(value) || value.trim().toLowerCase().endsWith(` ${unit}`.toLowerCase())) return '';
  const text = show(x, kind, kind === 'mm' || kind === 'g' ? 1 : undefined);
  return text.replace(/\s/g, '') === value.replace(/\s/g, '') ? '' : text;
}

export interface Option { value: string; label: string; group?: string }

export function SelectField({ name, label, help, optional, quiet, options, empty, onFocus }: Common & { options: Option[]; empty?: string }) {
  const { id, value, problem, set } = useField(name);
  const groups = [...new Set(options.map((o) => o.group ?? ''))];
  const list = (group: string) =>
    options.filter((o) => (o.group ?? '') === group).map((o) => <option key={o.value} value={o.value}>{o.label}</option>);
  return (
    <div class={problem ? 'field has-problem' : 'field'}>
      <Label {...{ id, label, optional, quiet }} />
      <div class="field-box">
        <select id={id} name={name} value={value} onChange={(e) => set(e.currentTarget.value)} onFocus={onFocus} aria-required={optional ? undefined : 'true'}
          aria-invalid={problem ? 'true' : undefined} aria-describedby={describedBy(id, help, problem)}>
          <option value="">{empty ?? 'Choose…'}</option>
          {groups.map((g) => (g ? <optgroup key={g} label={g}>{list(g)}</optgroup> : list(g)))}
        </select>
      </div>
      <Notes id={id} problem={problem} help={help} />
    </div>
  );
}

/** A few words to choose from, all in sight. */
export function ChoiceField({ name, label, help, options }: Common & { options: Option[] }) {
  const { id, value, problem, set } = useField(name);
  return (
    <fieldset class={problem ? 'field choice has-problem' : 'field choice'} aria-labelledby={`${id}-l`} aria-describedby={describedBy(id, help, problem)}>
      <legend class="field-label"><span id={`${id}-l`}>{label}</span><TermMark of={label} /></legend>
      <div class="choice-row">
        {options.map((o) => (
          <label key={o.value} class="choice-item">
            <input type="radio" name={`${id}-${name}`} value={o.value} checked={value === o.value} onChange={() => set(o.value)} />
            <span>{o.label}</span>
          </label>
        ))}
      </div>
      <Notes id={id} problem={problem} help={help} />
    </fieldset>
  );
}

export function CheckField({ name, label, help }: Common) {
  const { id, value, problem, set } = useField(name);
  return (
    <div class="field check">
      <label>
        <input type="checkbox" checked={value === '1'} onChange={(e) => set(e.currentTarget.checked ? '1' : '')}
          aria-describedby={describedBy(id, help, problem)} />
        <span>{label}</span>
      </label>
      <Notes id={id} problem={problem} help={help} />
    </div>
  );
}
