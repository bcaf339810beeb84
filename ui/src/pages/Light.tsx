// Light several candles together: which, what they weigh, the room they burn in.
import { postJson, withQuery } from '../lib/api';
import { Form, FormProblem, useForm } from '../lib/form';
import { withUnit } from '../lib/guess';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import type { Candle, Meta, Session } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { plural, sizeWord, span } from '../lib/when';
import { Cautions } from '../parts/Caution';
import { CheckField, ChoiceField, Field } from '../parts/Field';
import { Await, Empty, Page, Section } from '../parts/Page';

export function Light() {
  const recipe = usePlace().query.get('recipe');
  const answer = useAnswer<{ candles: Candle[] }>(withQuery('/api/candles', { recipe }));
  return (
    <Page title="Light candles" over={<a href="/">Today</a>}>
      <Await answer={answer}>{({ candles }) => <LightForm key={recipe ?? 'all'} candles={candles.filter((c) => c.state !== 'finished' && c.state !== 'lit')} recipe={recipe} />}</Await>
    </Page>
  );
}

const ORDER: Candle['state'][] = ['ready', 'resting', 'curing'];

function LightForm({ candles, recipe }: { candles: Candle[]; recipe: string | null }) {
  const meta = useAnswer<Meta>('/api/meta');
  const initial: Record<string, string> = { draught: '0' };
  if (recipe) for (const c of candles) if (c.state === 'ready') initial[`on.${c.id}`] = '1';
  const form = useForm(`light:${recipe ?? 'all'}`, initial);
  const v = form.values;
  const chosen = candles.filter((c) => v[`on.${c.id}`] === '1');
  const [g, C, mm] = [typedUnits('g')[0]!, typedUnits('C')[0]!, typedUnits('mm')[0]!];
  const send = () => void form.submit(async (id) => {
    const masses: Record<string, string> = {};
    for (const c of chosen) if (v[`masses.${c.code}`]?.trim()) masses[c.code] = withUnit(v[`masses.${c.code}`]!, g);
    const body: Record<string, unknown> = { id, candles: chosen.map((c) => c.id) };
    if (Object.keys(masses).length) body.masses = masses;
    const put = (key: string, unit: string) => { if (v[key]?.trim()) body[key] = withUnit(v[key]!, unit); };
    put('planned', 'h');
    put('room_temp', C);
    put('trim', mm);
    if (v.draught) body.draught = Number(v.draught);
    const session = await postJson<Session>('/api/sessions', body);
    answersChanged();
    go(`/sessions/${session.id}`);
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
          <div class="pair">{chosen.map((c) => <Field key={c.id} name={`masses.${c.code}`} label={`Mass of ${c.code}`} kind="g" optional help={c.mass_g !== null ? `last weighed ${show(c.mass_g, 'g')}` : 'grams burned follow from this'} />)}</div>
        </Section>
      )}
      <Section title="Room and session">
        <div class="pair">
          <Field name="planned" label="Burn for" kind="h" optional help="4 h when empty" />
          <Field name="trim" label="Wick trimmed to" kind="mm" optional help="5 mm or 1/4 in for cotton, 3 mm for wood" />
          <Field name="room_temp" label="Room" kind="C" optional help="20 to 24 °C is usual" />
        </div>
        <ChoiceField name="draught" label="Draught" options={[{ value: '0', label: '0 none' }, { value: '1', label: '1 slight' }, { value: '2', label: '2 clear' }, { value: '3', label: '3 strong' }]} help="No fan, vent, open window or passing people. 200 mm clear round each candle." />
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
  else parts.push(c.sessions ? `${plural(c.sessions, 'session')} so far${c.left_pct !== null ? `, ${show(c.left_pct, 'pct', 0)} of the wax left` : ''}` : 'never lit');
  return parts.join(' · ');
}
