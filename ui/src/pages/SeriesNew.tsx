// A wick series: one construction in graded sizes, described by what can be weighed and measured.
import { postJson } from '../lib/api';
import { Form, FormProblem, useForm } from '../lib/form';
import { withUnit } from '../lib/guess';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import type { Material, Series } from '../lib/types';
import { typedUnits } from '../lib/units';
import { Field, SelectField } from '../parts/Field';
import { Await, Page, Section } from '../parts/Page';
import { Worded } from '../parts/Term';

export function SeriesNew() {
  const materials = useAnswer<{ materials: Material[] }>('/api/materials?kind=wick');
  return (
    <Page title="A wick series" over={<a href="/shelf">Shelf</a>}
      under={<p><Worded>Cut exactly one metre (or yard) of each size and weigh it: grams per metre is what feeds a flame. Yards per pound from a sheet will do: type 480 yd/lb.</Worded></p>}>
      <Await answer={materials}>{(m) => <SeriesForm materials={m.materials} />}</Await>
    </Page>
  );
}

function SeriesForm({ materials }: { materials: Material[] }) {
  const back = usePlace().query.get('back');
  const form = useForm('series:new', { rows: '3', 'sizes.0.name': '1', 'sizes.1.name': '2', 'sizes.2.name': '3' });
  const v = form.values;
  const rows = Number(v.rows);
  const made = materials.find((m) => m.id === v.construction);
  const wood = made?.klass.includes('wood');
  const unnamed = made?.name ?? 'Wicks';
  const mm = typedUnits('mm')[0]!;

  const send = () => void form.submit(async (id) => {
    const sizes: Record<string, string>[] = [];
    for (let i = 0; i < rows; i++) {
      const size: Record<string, string> = {};
      const put = (key: string, unit: string) => { const t = v[`sizes.${i}.${key}`]?.trim(); if (t) size[key] = withUnit(t, unit); };
      put('name', '');
      put('linear_density', 'g/m');
      ['width', 'thickness', 'core'].forEach((k) => put(k, mm));
      if (size.linear_density || Object.keys(size).length > 1) sizes.push(size);
    }
    const kept = await postJson<Series>('/api/series', { id, name: v.name?.trim() || unnamed, construction: v.construction ?? '', sizes });
    answersChanged();
    go(back ? `${back}?series=${kept.id}` : `/shelf/series/${kept.id}`);
  });

  return (
    <Form form={form} onSend={send} label="Wick series">
      <Section title="Construction">
        <Field name="name" label="Name" optional help={v.name?.trim() ? undefined : `“${unnamed}” when empty`} />
        <SelectField name="construction" label="How it is made" options={materials.map((m) => ({ value: m.id, label: m.name }))}
          help="Flat braids bend and trim themselves; cored wicks stand; wooden wicks are boards." />
      </Section>
      <Section title="Sizes" note="smallest first; one is enough to begin with">
        {Array.from({ length: rows }, (_, i) => (
          <fieldset class="size-row" key={i}>
            <legend class="unseen">Size {i + 1}</legend>
            <Field name={`sizes.${i}.name`} label={`Size ${i + 1}`} />
            <Field name={`sizes.${i}.linear_density`} label="Mass per length" kind="g_m" optional={i > 0 && 'quiet'} example="0.9 g/m or 550 yd/lb" again={i > 0} />
            <Field name={`sizes.${i}.width`} label="Width" kind="mm" optional={!wood} again={i > 0} />
            <Field name={`sizes.${i}.thickness`} label="Thickness" kind="mm" optional={!wood} example="0.8 mm" again={i > 0} />
            <Field name={`sizes.${i}.core`} label="Core" kind="mm" optional again={i > 0} />
          </fieldset>
        ))}
        <p class="actions">
          <button type="button" class="button small" disabled={rows >= 24} onClick={() => form.set({ rows: String(rows + 1) })}>Add a size</button>
          <button type="button" class="button small quiet-button" disabled={rows <= 1} onClick={() => form.set({ rows: String(rows - 1) })}>Take the last away</button>
        </p>
      </Section>
      <FormProblem />
      <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Keep this series</button></p>
    </Form>
  );
}
