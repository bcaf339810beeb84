// Light several candles together: which, what they weigh, the room they burn in.
import { useState } from 'preact/hooks';
import { Refused, withQuery } from '../lib/api';
import { useOutbox } from '../lib/bench';
import { soFar } from '../lib/candle';
import { serverNow } from '../lib/clock';
import type { OutItem } from '../lib/db';
import { Form, FormProblem, spoken, useForm } from '../lib/form';
import { withUnit } from '../lib/guess';
import { litHere, sessionHere } from '../lib/lit';
import { seed, useAnswer } from '../lib/live';
import { drop, put } from '../lib/outbox';
import { go, usePlace } from '../lib/router';
import type { Candle, Meta, Setting } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { plural, sizeWord, span } from '../lib/when';
import { Cautions } from '../parts/Caution';
import { CheckField, ChoiceField, Field } from '../parts/Field';
import { Await, Empty, Page, Section } from '../parts/Page';

export function Light() {
  const { query } = usePlace();
  const recipe = query.get('recipe');
  const answer = useAnswer<{ candles: Candle[] }>(withQuery('/api/candles', { recipe }));
  const items = useOutbox();
  const here = litHere(items);
  const [refused] = useState(() => items.find((i) => i.lit && i.refused && i.id === query.get('again')) ?? null);
  return (
    <Page title="Light candles" over={<a href="/">Today</a>}>
      {refused && <p class="notice warn">This lighting was refused: {spoken(refused.refused)} What was read since waits for it.</p>}
      <Await answer={answer}>{({ candles }) => <LightForm key={refused?.id ?? recipe ?? 'all'} candles={candles.filter((c) => c.state !== 'finished' && c.state !== 'lit' && !here.has(c.id))} recipe={recipe} refused={refused} />}</Await>
    </Page>
  );
}

/** What was typed for a lighting, back in the form. */
function valuesOf({ body, lit }: OutItem): Record<string, string> {
  const values: Record<string, string> = { draught: String(body.draught ?? '0') };
  for (const c of lit!.candles) values[`on.${c.candle_id}`] = '1';
  for (const [code, mass] of Object.entries((body.masses ?? {}) as Record<string, string>)) values[`masses.${code}`] = mass;
  for (const key of ['planned', 'room_temp', 'trim']) values[key] = String(body[key] ?? '');
  return values;
}

const ORDER: Candle['state'][] = ['ready', 'resting', 'curing'];

function LightForm({ candles, recipe, refused }: { candles: Candle[]; recipe: string | null; refused: OutItem | null }) {
  const meta = useAnswer<Meta>('/api/meta');
  const settings = useAnswer<{ settings: Setting[] }>('/api/settings');
  const initial: Record<string, string> = refused ? valuesOf(refused) : { draught: '0' };
  if (recipe) for (const c of candles) if (c.state === 'ready') initial[`on.${c.id}`] = '1';
  const form = useForm(`light:${refused?.id ?? recipe ?? 'all'}`, initial);
  const v = form.values;
  const chosen = candles.filter((c) => v[`on.${c.id}`] === '1');
  const [g, C, mm] = [typedUnits('g')[0]!, typedUnits('C')[0]!, typedUnits('mm')[0]!];
  const send = () => void form.submit(async (fresh) => {
    const id = refused?.id ?? fresh;
    const masses: Record<string, string> = {};
    for (const c of chosen) if (v[`masses.${c.code}`]?.trim()) masses[c.code] = withUnit(v[`masses.${c.code}`]!, g);
    const at = refused ? Date.parse(refused.lit!.lit_at) : serverNow();
    const body: Record<string, unknown> = { candles: chosen.map((c) => c.id), lit_at: new Date(at).toISOString() };
    if (Object.keys(masses).length) body.masses = masses;
    const take = (key: string, unit: string) => { if (v[key]?.trim()) body[key] = withUnit(v[key]!, unit); };
    take('planned', 'h');
    take('room_temp', C);
    take('trim', mm);
    if (v.draught) body.draught = Number(v.draught);
    const lit = sessionHere({ id, at, candles: chosen, body, settings: settings.data?.settings, meta: meta.data });
    const what = `Light ${chosen.map((c) => c.code).join(', ')}`;
    const outcome = await put({ id, id_as: 'id', path: '/api/sessions', session_id: id, typed_at: at, what, body, lit }, [id]);
    if (outcome.kind === 'refused') {
      if (!refused) await drop(id); // all of it stands in the form still, and nothing hangs on it yet
      const [first, ...more] = outcome.mistakes;
      throw new Refused(400, '', first?.field ?? '', first?.text ?? 'This was refused.', more);
    }
    if (outcome.kind === 'kept') seed(`/api/sessions/${id}`, lit);
    go(`/sessions/${id}`);
  });
  if (!candles.length) {
    return <Empty action={<a class="button" href="/recipes">Choose a recipe to pour</a>}><p>There is no candle to light. Pour a test set first.</p></Empty>;
  }
  return (
    <Form form={form} onSend={send} label="Light candles" bench>
      <Section title="Which" note={chosen.length ? plural(chosen.length, 'candle') : 'none chosen'}>
        {ORDER.map((state) => {
          const group = candles.filter((c) => c.state === state);
          return group.length > 0 && (
            <div key={state} class="light-group">
              <h3>{state === 'ready' ? 'Cured and rested' : state === 'resting' ? 'Still resting' : 'Still curing'}</h3>
              {state === 'curing' && <p class="field-help">An early test flatters a wick that later proves too small. You may; the session is marked.</p>}
              {state === 'resting' && <p class="field-help">Wax that is still warm starts with a head start: the pool comes too soon.</p>}
              {group.map((c) => <CheckField key={c.id} name={`on.${c.id}`} label={`${c.code}, ${sizeWord(c.size_name)}`} help={helpOf(c, recipe)} />)}
            </div>
          );
        })}
      </Section>
      {chosen.length > 0 && (
        <Section title="Weigh them" note="with container, before lighting">
          <div class="pair">{chosen.map((c) => <Field key={c.id} name={`masses.${c.code}`} as="masses" label={`Mass of ${c.code}`} kind="g" optional help={c.mass_g !== null ? `last weighed ${show(c.mass_g, 'g')}` : 'grams burned follow from this'} />)}</div>
        </Section>
      )}
      <Section title="Room and session">
        <div class="pair">
          <Field name="planned" label="Burn for" kind="h" optional help="as the recipe says when empty" />
          <Field name="trim" label="Wick trimmed to" kind="mm" optional example="5 mm or 1/4 in (cotton), 3 mm (wood)" />
          <Field name="room_temp" label="Room" kind="C" optional help="20 to 24 C is usual" />
        </div>
        <ChoiceField name="draught" label="Draught" options={[{ value: '0', label: '0 none' }, { value: '1', label: '1 slight' }, { value: '2', label: '2 clear' }, { value: '3', label: '3 strong' }]} help={`No fan, vent, open window or passing people. ${show(200, 'mm', 0)} clear round each candle.`} />
      </Section>
      <Cautions list={meta.data?.cautions.burning} title="Before lighting" />
      <FormProblem />
      <p class="actions"><button type="submit" class="button main big" disabled={form.busy || !chosen.length}>{chosen.length ? `Light ${plural(chosen.length, 'candle')} now` : 'Choose candles to light'}</button></p>
    </Form>
  );
}

function helpOf(c: Candle, recipe: string | null): string {
  const parts = recipe ? [] : [c.recipe_name];
  if (c.state === 'curing') parts.push(`${span(c.cure_left_h * 36e5)} of cure to go`);
  else parts.push(soFar(c));
  return parts.join(' · ');
}
