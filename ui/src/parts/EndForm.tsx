// Putting candles out: which, why, and what they weigh now; or weighing them once the wax has set.
// Goes through the outbox like a reading.
import { useEffect, useRef, useState } from 'preact/hooks';
import { burning } from '../lib/bench';
import { Refused } from '../lib/api';
import { serverNow } from '../lib/clock';
import { useFocusBack } from '../lib/focus';
import { Form, FormProblem, useForm, type Values } from '../lib/form';
import { newId } from '../lib/ids';
import { put } from '../lib/outbox';
import { say } from '../lib/say';
import type { Session, SessionCandle } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { guess, withUnit } from '../lib/guess';
import { sizeWord } from '../lib/when';
import { CheckField, ChoiceField, Field } from './Field';

const REASONS = [
  { value: 'planned', label: 'As planned' }, { value: 'went_out', label: 'Went out by itself' }, { value: 'stopped', label: 'Stopped' },
];

interface EndProps { session: Session; only: string; onDone: () => void }

/** Out already, and its mass still missing. */
export const toWeigh = (session: Session): SessionCandle[] => session.candles.filter((c) => c.ended_at && c.after_g === null);

export function EndForm({ session, only, onDone }: EndProps) {
  const lit = burning(session);
  const picked = only === 'all' ? lit : lit.filter((c) => c.candle_id === only);
  const initial: Values = { reason: only === 'all' ? 'planned' : 'stopped' };
  for (const c of lit) initial[`out.${c.candle_id}`] = picked.includes(c) ? '1' : '';
  const form = useForm(`end:${session.id}:${only}`, initial);
  const head = useRef<HTMLHeadingElement>(null);
  useFocusBack();
  useEffect(() => head.current?.focus(), []);
  const send = useEnding(session);
  const submit = () => void form.submit(async (id) => {
    const out = lit.filter((c) => form.values[`out.${c.candle_id}`] === '1');
    await send(id, `Put out ${codes(out)}`, {
      candles: out.map((c) => c.candle_id), masses: massesOf(form.values, out), reason: form.values.reason, at: new Date(serverNow()).toISOString(),
    });
    say(`${codes(out)} out.`);
    onDone();
  });
  return (
    <div class="end-form sheet">
      <h2 tabIndex={-1} ref={head}>Put out</h2>
      <p>Snuff or dip the wick, do not blow. Weigh each candle with its container once the wax has set; leave a mass empty if you will weigh later.</p>
      <Form form={form} onSend={submit} label="Put out" bench>
        {lit.map((c) => (
          <div key={c.candle_id} class="end-row">
            <CheckField name={`out.${c.candle_id}`} label={`${c.code}, ${sizeWord(c.size_name)}`} />
            <Mass candle={c} session={session} values={form.values} />
          </div>
        ))}
        <ChoiceField name="reason" label="Why" options={REASONS} />
        <FormProblem />
        <p class="actions">
          <button type="submit" class="button main big" disabled={form.busy}>They are out</button>
          <button type="button" class="button quiet-button" onClick={onDone}>Not yet</button>
        </p>
      </Form>
    </div>
  );
}

/** The masses after, for candles put out before they could be weighed. */
export function WeighForm({ session }: { session: Session }) {
  const form = useForm(`weigh:${session.id}`, {});
  useFocusBack();
  const send = useEnding(session);
  const list = toWeigh(session);
  const typed = list.filter((c) => form.values[`masses.${c.code}`]?.trim());
  const submit = () => void form.submit(async (id) => {
    const weighed = codes(typed);
    await send(id, `Mass after of ${weighed}`, { candles: typed.map((c) => c.candle_id), masses: massesOf(form.values, typed) });
    say(`Mass of ${weighed} kept.`);
  });
  return (
    <div class="end-form sheet">
      <h2>Weigh {list.length === 1 ? 'it' : 'them'}</h2>
      <p>With container, once the wax has set. What was burned follows from it.</p>
      <Form form={form} onSend={submit} label="Mass after" bench>
        {list.map((c) => <Mass key={c.candle_id} candle={c} session={session} values={form.values} />)}
        <FormProblem />
        <p class="actions"><button type="submit" class="button main" disabled={form.busy || !typed.length}>Keep the {typed.length > 1 ? 'masses' : 'mass'}</button></p>
      </Form>
    </div>
  );
}

/** One tap: this candle is out, now. Its mass is asked for when the wax has set. */
export async function outNow(session: Session, candles: SessionCandle[]): Promise<void> {
  const id = newId(serverNow());
  say(`${codes(candles)} out.`);
  await put({
    id, id_as: 'request_id', path: `/api/sessions/${session.id}/end`, session_id: session.id, typed_at: serverNow(), what: `Put out ${codes(candles)}`,
    body: { candles: candles.map((c) => c.candle_id), reason: 'stopped', at: new Date(serverNow()).toISOString() },
  });
}

const codes = (list: SessionCandle[]): string => list.map((c) => c.code).join(', ');

function useEnding(session: Session) {
  const [refusedId, setRefusedId] = useState('');
  return async (id: string, what: string, body: Record<string, unknown>): Promise<void> => {
    const outcome = await put({ id, id_as: 'request_id', path: `/api/sessions/${session.id}/end`, session_id: session.id, typed_at: serverNow(), what, body }, [refusedId]);
    if (outcome.kind !== 'refused') return;
    setRefusedId(id);
    const [first, ...more] = outcome.mistakes;
    throw new Refused(400, '', first?.field ?? '', first?.text ?? 'This was refused.', more);
  };
}

function massesOf(values: Values, list: SessionCandle[]): Record<string, string> {
  const out: Record<string, string> = {};
  for (const c of list) {
    const m = values[`masses.${c.code}`]?.trim();
    if (m) out[c.code] = withUnit(m, typedUnits('g')[0]!);
  }
  return out;
}

/** What was burned stands beside the mass while it is typed: a slip of the scale shows at once. */
function Mass({ candle: c, session, values }: { candle: SessionCandle; session: Session; values: Values }) {
  const after = guess(values[`masses.${c.code}`] ?? '', 'g', typedUnits('g')[0]!);
  const hours = ((c.ended_at ? Date.parse(c.ended_at) : serverNow()) - Date.parse(session.lit_at)) / 36e5;
  const burned = after !== null && c.before_g !== null ? c.before_g - after : null;
  const help = c.before_g === null ? 'was not weighed before' : burned === null ? `before ${show(c.before_g, 'g')}`
    : burned < 0 ? `heavier than before: ${show(c.before_g, 'g')}`
    : `before ${show(c.before_g, 'g')}: ${show(burned, 'g')} burned${hours > 0.05 ? `, ${show(burned / hours, 'g_h')}` : ''}`;
  return <Field name={`masses.${c.code}`} label={`Mass of ${c.code}`} kind="g" optional as="masses" example="512.4 g" help={help} />;
}
