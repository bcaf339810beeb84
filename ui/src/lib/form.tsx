// Forms that lose nothing: what is typed is kept under a name in this browser until it was accepted,
// and a refusal of the door is shown at the field it names.
import { createContext, type ComponentChildren } from 'preact';
import { useContext, useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { Away, Refused } from './api';
import { newId } from './ids';

export type Values = Record<string, string>;

export interface Problem { field: string; text: string; away: boolean }

export interface FormState {
  values: Values;
  set: (patch: Values) => void;
  problem: Problem | null;
  busy: boolean;
  /** Runs `send`; on success the draft is forgotten. Resolves to the answer, or null when refused. */
  submit: <T>(send: (id: string) => Promise<T>) => Promise<T | null>;
  fail: (field: string, text: string) => void;
  forget: () => void;
}

const PREFIX = 'draft:';

function load(key: string, initial: Values): Values {
  try {
    const kept = localStorage.getItem(PREFIX + key);
    return kept ? { ...initial, ...(JSON.parse(kept) as Values) } : initial;
  } catch {
    return initial;
  }
}

export const hasDraft = (key: string): boolean => localStorage.getItem(PREFIX + key) !== null;

export function useForm(key: string, initial: Values): FormState {
  const [values, setValues] = useState<Values>(() => load(key, initial));
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);
  const id = useRef(newId());
  const now = useRef(values);
  now.current = values;

  return useMemo<FormState>(() => {
    const set = (patch: Values) => {
      now.current = { ...now.current, ...patch };
      localStorage.setItem(PREFIX + key, JSON.stringify(now.current));
      setValues(now.current);
      // a field being put right is no longer accused
      setProblem((p) => (p && Object.keys(patch).some((k) => problemAt(p, k)) ? null : p));
    };
    const forget = () => {
      localStorage.removeItem(PREFIX + key);
      id.current = newId();
    };
    const submit = async <T,>(send: (id: string) => Promise<T>): Promise<T | null> => {
      setBusy(true);
      setProblem(null);
      try {
        const answer = await send(id.current);
        forget();
        return answer;
      } catch (e) {
        // a refused body was not stored, so a changed one needs no new id; a conflict does
        if (e instanceof Refused && e.http === 409) id.current = newId();
        setProblem(asProblem(e));
        return null;
      } finally {
        setBusy(false);
      }
    };
    return { values, set, problem, busy, submit, forget, fail: (field, text) => setProblem({ field, text, away: false }) };
  }, [key, values, problem, busy]);
}

export function asProblem(e: unknown): Problem {
  if (e instanceof Away) {
    return { field: '', text: 'The workshop computer does not answer. What you typed stays here; try again when it is back.', away: true };
  }
  if (e instanceof Refused) return { field: e.field, text: e.message, away: false };
  throw e;
}

const FormContext = createContext<FormState | null>(null);

export function useFormState(): FormState {
  const form = useContext(FormContext);
  if (!form) throw new Error('a field stands outside a form');
  return form;
}

/** "inner_diameter: 7 mm is outside ..." without the field's name, for where its label stands anyway. */
export function bare(text: string): string {
  const said = text.replace(/^[a-z_0-9[\].]+: /, '');
  return said.charAt(0).toUpperCase() + said.slice(1);
}

/** The same with the name in plain words, for where no label stands near. */
export const spoken = (text: string): string =>
  text.replace(/^([a-z_0-9[\].]+): /, (_, name: string) => `${name.replace(/\[(\d+)\]\.?/g, (_m, n: string) => ` ${n}, `).replace(/_/g, ' ').trim()}: `);

/** The door counts from 1: "profile[2].inner_diameter" and "inner_diameter" both find the field "profile.1.inner_diameter". */
export function problemAt(problem: Problem | null, name: string): string {
  if (!problem?.field) return '';
  const field = problem.field.replace(/\[(\d+)\]/g, (_, n: string) => `.${Number(n) - 1}`);
  if (field === name) return bare(problem.text);
  return !field.includes('.') && name.includes('.') && name.endsWith(`.${field}`) ? bare(problem.text) : '';
}

interface FormProps {
  form: FormState;
  onSend: () => void;
  children: ComponentChildren;
  label?: string;
}

export function Form({ form, onSend, children, label }: FormProps) {
  const ref = useRef<HTMLFormElement>(null);
  useEffect(() => {
    if (!form.problem) return;
    const at = ref.current?.querySelector<HTMLElement>('[aria-invalid="true"]') ?? ref.current?.querySelector<HTMLElement>('.form-problem');
    at?.focus();
    at?.scrollIntoView({ block: 'center' });
  }, [form.problem]);
  return (
    <FormContext.Provider value={form}>
      <form ref={ref} noValidate aria-label={label} onSubmit={(e) => { e.preventDefault(); if (!form.busy) onSend(); }}>
        {children}
      </form>
    </FormContext.Provider>
  );
}

/** The refusal in full, above the button: also for fields this page does not show. */
export function FormProblem() {
  const { problem } = useFormState();
  return (
    <div class="form-problem" role="alert" tabIndex={-1}>
      {problem && (
        <p>
          <strong>{problem.away ? 'Not sent yet.' : 'Not saved.'}</strong> {spoken(problem.text)}
        </p>
      )}
    </div>
  );
}
