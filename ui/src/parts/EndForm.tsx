// Putting candles out: which, why, and what they weigh now. Goes through the outbox like a reading.
import { useState } from 'preact/hooks';
import { burning } from '../lib/bench';
import { Refused } from '../lib/api';
import { serverNow } from '../lib/clock';
import { Form, FormProblem, useForm } from '../lib/form';
import { drop, put } from '../lib/outbox';
import type { Session } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { withUnit } from '../lib/guess';
import { sizeWord } from '../lib/when';
import { CheckField, ChoiceField, Field } from './Field';

const REASONS = [
  { value: 'planned', label: 'As planned' }, { value: 'went_out', label: 'Went out by itself' }, { value: 'stopped', label: 'Stopped' },
];

interface EndProps { session: Session; only: string; onDone: () => void }

export function EndForm({ session, only, onDone }: EndProps) {
  const lit = burning(session);
  const picked = only === 'all' ? lit : lit.filter((c) => c.candle_id === only);
  const initial: Record<string, string> = { reason: only === 'all' ? 'planned' : 'stopped' };
  for (const c of lit) initial[`out.${c.candle_id}`] = picked.includes(c) ? '1' : '';
  const form = useForm(`end:${session.id}:${only}`, initial);
  const [lastId, setLastId] = useState('');
  const unit = typedUnits('g')[0]!;

  const send = () => void form.submit(async (id) => {
    const out = lit.filter((c) => form.values[`out.${c.candle_id}`] === '1');
    const masses: Record<string, string> = {};
    for (const c of out) {
      const m = form.values[`masses.${c.code}`]?.trim();
      if (m) masses[c.code] = withUnit(m, unit);
    }
    if (lastId) await drop(lastId);
    const outcome = await put({
      id, id_as: 'request_id', path: `/api/sessions/${session.id}/end`, session_id: session.id, typed_at: serverNow(), what: `Put out ${out.map((c) => c.code).join(', ')}`,
      body: { candles: out.map((c) => c.candle_id), masses, reason: form.values.reason, at: new Date(serverNow()).toISOString() },
    });
    if (outcome.kind === 'refused') {
      setLastId(id);
      const [first, ...more] = outcome.mistakes;
      throw new Refused(400, '', first?.field ?? '', first?.text ?? 'This was refused.', more);
    }
    onDone();
  });

  return (
    <div class="end-form sheet">
      <h2>Put out</h2>
      <p>Snuff or dip the wick, do not blow. Weigh each candle with its container once the wax has set; leave a mass empty if you will weigh later.</p>
      <Form form={form} onSend={send} label="Put out">
        {lit.map((c) => (
          <div key={c.candle_id} class="end-row">
            <CheckField name={`out.${c.candle_id}`} label={`${c.code}, ${sizeWord(c.size_name)}`} />
            <Field name={`masses.${c.code}`} label={`Mass of ${c.code}`} kind="g" optional help={c.before_g !== null ? `before ${show(c.before_g, 'g')}` : undefined} />
          </div>
        ))}
        <ChoiceField name="reason" label="Why" options={REASONS} />
        <FormProblem />
        <p class="actions">
          <button type="submit" class="button main" disabled={form.busy}>They are out</button>
          <button type="button" class="button quiet-button" onClick={onDone}>Not yet</button>
        </p>
      </Form>
    </div>
  );
}
