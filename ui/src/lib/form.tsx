// Forms that lose nothing: what is typed is kept under a name in this browser until it was accepted,
// and every refusal of the door is shown at the field it names, all of them at once.
import { createContext, type ComponentChildren } from 'preact';
import { useContext, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { Away, Refused, type Mistake } from './api';
import { newId } from './ids';
import { benchOnly } from './may';
import { said } from './said';

export type Values = Record<string, string>;

/** What stands between the form and being taken: mistakes at fields, or no answer at all. */
export interface Problem { mistakes: Mistake[]; away: boolean }

export interface FormState {
  /** What the form is about: the first word of the name its draft is kept under. */
  about: string;
  values: Values;
  set: (patch: Values) => void;
  problem: Problem | null;
  busy: boolean;
  /** Runs `send`; on success the draft is forgotten. Resolves to the answer, or null when refused. */
  submit: <T>(send: (id: string) => Promise<T>) => Promise<T | null>;
  forget: () => void;
}

const PREFIX = 'draft:';
const ID_PREFIX = 'sending:';

function load(key: string, initial: Values): Values {
  try {
    const kept = localStorage.getItem(PREFIX + key);
    return kept ? { ...initial, ...(JSON.parse(kept) as Values) } : initial;
  } catch {
    return initial;
  }
}

/**
 * The id a form is sent under. It outlives a reload: when the answer was lost on the way, sending the
 * same thing again must not make a second one.
 */
function idOf(key: string): string {
  const kept = localStorage.getItem(ID_PREFIX + key);
  if (kept) return kept;
  const id = newId();
  localStorage.setItem(ID_PREFIX + key, id);
  return id;
}

/** The id may have been used for what was typed before; a changed form is another thing. */
const renewId = (key: string): void => localStorage.removeItem(ID_PREFIX + key);

export const hasDraft = (key: string): boolean => localStorage.getItem(PREFIX + key) !== null;

export function useForm(key: string, initial: Values): FormState {
  const [values, setValues] = useState<Values>(() => load(key, initial));
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);
  const now = useRef(values);
  now.current = values;

  return useMemo<FormState>(() => {
    const set = (patch: Values) => {
      now.current = { ...now.current, ...patch };
      localStorage.setItem(PREFIX + key, JSON.stringify(now.current));
      setValues(now.current);
      // a field being put right is no longer accused
      setProblem((p) => without(p, Object.keys(patch)));
    };
    const forget = () => {
      localStorage.removeItem(PREFIX + key);
      renewId(key);
    };
    const submit = async <T,>(send: (id: string) => Promise<T>): Promise<T | null> => {
      setBusy(true);
      setProblem(null);
      try {
        const answer = await send(idOf(key));
        forget();
        return answer;
      } catch (e) {
        // a refused body was not stored, so a changed one needs no new id; a conflict does
        if (e instanceof Refused && e.http === 409) renewId(key);
        setProblem(asProblem(e));
        return null;
      } finally {
        setBusy(false);
      }
    };
    return { about: key.split(':')[0]!, values, set, problem, busy, submit, forget };
  }, [key, values, problem, busy]);
}

export function asProblem(e: unknown): Problem {
  if (e instanceof Away) {
    return { mistakes: [{ field: '', text: 'The workshop computer does not answer. What you typed stays here; try again when it is back.' }], away: true };
  }
  if (e instanceof Refused && e.http === 409 && /^(request_)?id$/.test(e.field) && /already used/.test(e.message)) {
    return { mistakes: [{ field: '', text: 'This was sent once before and its answer got lost on the way; it may be in the book already, as it was typed then. Look there before you send it again.' }], away: false };
  }
  if (e instanceof Refused) return { mistakes: e.mistakes, away: false };
  throw e;
}

/** What is left of a problem once these fields were touched. */
function without(problem: Problem | null, fields: string[]): Problem | null {
  const mistakes = (problem?.mistakes ?? []).filter((m) => !fields.some((f) => isAt(m, f)));
  return problem && mistakes.length ? { ...problem, mistakes } : null;
}

const FormContext = createContext<FormState | null>(null);

export function useFormState(): FormState {
  const form = useContext(FormContext);
  if (!form) throw new Error('a field stands outside a form');
  return form;
}

/** "inner_diameter: 7 mm is outside ..." without the field's name, for where its label stands anyway. */
export function bare(text: string): string {
  const told = said(text.replace(/^[A-Za-z_0-9[\].]+: /, ''));
  return told.charAt(0).toUpperCase() + told.slice(1);
}

/** The same with the name in plain words, for where no label stands near. */
export const spoken = (text: string): string =>
  said(text).replace(/^([A-Za-z_0-9[\].]+): /, (_, name: string) => `${name.replace(/\[(\d+)\]\.?/g, (_m, n: string) => ` ${n}, `).replace(/\./g, ' of ').replace(/_/g, ' ').trim()}: `);

/** The door counts from 1: "profile[2].inner_diameter" and "inner_diameter" both find the field "profile.1.inner_diameter". */
function isAt(mistake: Mistake, name: string): boolean {
  if (!mistake.field) return false;
  const field = mistake.field.replace(/\[(\d+)\]/g, (_, n: string) => `.${Number(n) - 1}`);
  return field === name || (!field.includes('.') && name.includes('.') && name.endsWith(`.${field}`));
}

export const problemAt = (problem: Problem | null, name: string): string => {
  const found = problem?.mistakes.find((m) => isAt(m, name));
  return found ? bare(found.text) : '';
};

interface FormProps {
  form: FormState;
  onSend: () => void;
  children: ComponentChildren;
  label?: string;
  /** A form of the bench: also for a device let in for the bench alone. */
  bench?: boolean;
}

export function Form({ form, onSend, children, label, bench }: FormProps) {
  const ref = useRef<HTMLFormElement>(null);
  const refusals = useRef<Problem | null>(null);
  useEffect(() => {
    // only a new refusal takes the focus, not one that grows shorter while it is put right
    const before = refusals.current;
    refusals.current = form.problem;
    if (!form.problem || (before && form.problem.mistakes.every((m) => before.mistakes.includes(m)))) return;
    const at = ref.current?.querySelector<HTMLElement>('[aria-invalid="true"]') ?? ref.current?.querySelector<HTMLElement>('.form-problem');
    at?.focus();
    at?.scrollIntoView({ block: 'center' });
  }, [form.problem]);
  return (
    <FormContext.Provider value={form}>
      <form ref={ref} noValidate aria-label={label} onSubmit={(e) => { e.preventDefault(); if (!form.busy) onSend(); }}>
        {benchOnly() && !bench ? <fieldset class="locked" disabled>{children}</fieldset> : children}
      </form>
    </FormContext.Provider>
  );
}

/** Every refusal in full, above the button: also for fields this page does not show. */
export function FormProblem() {
  const { problem } = useFormState();
  const list = problem?.mistakes ?? [];
  return (
    <div class="form-problem" role="alert" tabIndex={-1}>
      {problem && (
        <p>
          <strong>{problem.away ? 'Not sent yet.' : list.length > 1 ? `Not saved: ${list.length} things to put right.` : 'Not saved.'}</strong>{' '}
          {list.length === 1 && spoken(list[0]!.text)}
        </p>
      )}
      {list.length > 1 && <ul>{list.map((m) => <li key={m.field + m.text}>{spoken(m.text)}</li>)}</ul>}
    </div>
  );
}
