// A container measured at the bench: straight, or several height and diameter pairs; water weighed as a check.
import { useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { Form, FormProblem, useForm } from '../lib/form';
import { guess, withUnit } from '../lib/guess';
import { jarName } from '../lib/naming';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import type { Container, Material } from '../lib/types';
import { said } from '../lib/said';
import { typedUnits } from '../lib/units';
import type { Outline } from '../lib/above';
import { ChoiceField, Field, SelectField } from '../parts/Field';
import { FromAbove } from '../parts/FromAbove';
import { JarMeasure, type Station } from '../parts/JarMeasure';
import { Await, Page, Section } from '../parts/Page';

const START = { outline: 'round', shape: 'straight', rows: '3', 'profile.0.height': '0', water_temp: '' };

export function ContainerNew() {
  const materials = useAnswer<{ materials: Material[] }>('/api/materials?kind=container');
  return (
    <Page title="Measure a container" over={<a href="/shelf">Shelf</a>} under={<p>Type lengths as you read them: 72 mm, 7.2 cm, 2 7/8 in.</p>}>
      <Await answer={materials}>{(m) => <ContainerForm materials={m.materials} />}</Await>
    </Page>
  );
}

function ContainerForm({ materials }: { materials: Material[] }) {
  const back = usePlace().query.get('back');
  const form = useForm('container:new', START);
  const [held, setHeld] = useState('');
  const v = form.values;
  const mm = typedUnits('mm')[0]!;
  const [g, c] = [typedUnits('g')[0]!, typedUnits('C')[0]!];
  const read = (name: string) => guess(v[name] ?? '', 'mm', mm);
  const straight = v.shape !== 'taper';
  const rows = Number(v.rows ?? 3);
  const round = (v.outline ?? 'round') === 'round';
  const across = straight ? v.inner_diameter : v[`profile.${rows - 1}.inner_diameter`];
  const unnamed = jarName(v.outline ?? 'round', withUnit(across ?? '', mm));

  const send = () => void form.submit(async (id) => {
    const body: Record<string, unknown> = { id, name: v.name?.trim() || unnamed, material: v.material ?? '' };
    const put = (key: string, unit: string) => { if (v[key]?.trim()) body[key] = withUnit(v[key]!, unit); };
    if (straight) ['inner_diameter', 'height'].forEach((k) => put(k, mm));
    else body.profile = profileOf(v, rows, mm);
    if (!round) { body.outline = v.outline; put('across', mm); if (v.outline === 'rectangle') put('corner', mm); }
    for (const key of ['wall', 'base', 'water_height']) put(key, mm);
    for (const key of ['empty_mass', 'water_mass']) put(key, g);
    put('water_temp', c);
    const made = await postJson<Container>('/api/containers', body);
    answersChanged();
    go(back ? `${back}?container=${made.id}` : `/shelf/containers/${made.id}`);
  });

  const stations: Station[] = straight
    ? straightStations(read('inner_diameter'), read('height'))
    : Array.from({ length: rows }, (_, i) => ({ h: read(`profile.${i}.height`), d: read(`profile.${i}.inner_diameter`) }))
        .filter((p): p is { h: number; d: number } => p.h !== null && p.d !== null && p.d > 0)
        .map((p) => ({ height_mm: p.h, inner_mm: p.d })).sort((a, b) => a.height_mm - b.height_mm);

  return (
    <Form form={form} onSend={send} label="Container">
      <div class="with-drawing">
        <div class="drawing"><JarMeasure stations={stations} wall_mm={read('wall') ?? 3} base_mm={read('base') ?? 5} water_mm={v.water_mass ? (read('water_height') ?? Infinity) : null} held={held} />{!round && <FromAbove above={aboveOf(v.outline as Outline, stations, read('across'), read('corner'))} spots={[]} wall_mm={read('wall') ?? 3} sides />}</div>
        <div>
          <Section title="What it is">
            <Field name="name" label="Name" optional help={v.name?.trim() ? undefined : `“${unnamed}” when empty`} />
            <SelectField name="material" label="Made of" options={materials.map((m) => ({ value: m.id, label: m.name }))} help="Sets how fast heat goes through the wall." />
          </Section>
          <Section title="Inside">
            <ChoiceField name="outline" label="From above" options={[{ value: 'round', label: 'Round' }, { value: 'rectangle', label: 'Square or rectangle' }, { value: 'oval', label: 'Oval' }]} />
            <ChoiceField name="shape" label="Shape" options={[{ value: 'straight', label: 'Straight sides' }, { value: 'taper', label: 'Tapers, bulges or narrows' }]} />
            {straight ? (
              <div class="pair">
                <Field name="inner_diameter" label={round ? 'A, inner diameter' : 'A, longer inner side'} kind="mm" example="72 mm or 2 7/8 in" onFocus={() => setHeld('inner_diameter')} />
                <Field name="height" label="B, inner height" kind="mm" example="88 mm or 3.5 in" onFocus={() => setHeld('height')} />
              </div>
            ) : (
              <Profile rows={rows} onRows={(n) => form.set({ rows: String(n) })} onHeld={setHeld} />
            )}
            {!round && (
              <div class="pair">
                <Field name="across" label="E, shorter inner side at the brim" kind="mm" optional help="A quarter of A up to all of it; as long as A when empty." />
                {v.outline === 'rectangle' && <Field name="corner" label="F, radius of the corners" kind="mm" optional help="0 mm (sharp) when empty; at most half of E." />}
              </div>
            )}
            <div class="pair">
              <Field name="wall" label="C, wall thickness" kind="mm" help="Calliper at the rim." onFocus={() => setHeld('wall')} />
              <Field name="base" label="D, base thickness" kind="mm" optional help="Outer height less inner height. Taken as the wall when empty." onFocus={() => setHeld('base')} />
            </div>
          </Section>
          <Section title="Water check" note={said('optional, and worth it: a slip of 1 mm in the diameter is 3 % of the wax')}>
            <p>Put the container on the scale, tare, fill with water, weigh.</p>
            <div class="pair">
              <Field name="water_mass" label="Mass of water" kind="g" optional example="355 g or 12.5 oz" onFocus={() => setHeld('water')} />
              <Field name="water_height" label="Filled to" kind="mm" optional help="Height above the inner floor; the brim when empty." onFocus={() => setHeld('height')} />
              <Field name="water_temp" label="Water temperature" kind="C" optional help="20 C when empty." />
              <Field name="empty_mass" label="Empty container" kind="g" optional help="For weighing candles later: tare." />
            </div>
          </Section>
          <FormProblem />
          <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Keep this container</button></p>
        </div>
      </div>
    </Form>
  );
}

/** As far as typed; what is missing is taken from the example or the other side. */
function aboveOf(outline: Outline, stations: Station[], across: number | null, corner: number | null) {
  const long_mm = stations[stations.length - 1]?.inner_mm ?? 100;
  const across_mm = Math.min(long_mm, across && across > 0 ? across : long_mm);
  return { outline, long_mm, across_mm, corner_mm: Math.min(across_mm / 2, Math.max(0, corner ?? 0)) };
}

const straightStations = (d: number | null, h: number | null): Station[] =>
  d !== null && h !== null && d > 0 && h > 0 ? [{ height_mm: 0, inner_mm: d }, { height_mm: h, inner_mm: d }] : [];

/** Rows with anything typed in them; the door says what is wrong with them. */
function profileOf(v: Record<string, string>, rows: number, unit: string): { height: string; inner_diameter: string }[] {
  const out: { height: string; inner_diameter: string }[] = [];
  for (let i = 0; i < rows; i++) {
    const h = v[`profile.${i}.height`]?.trim() ?? '';
    const d = v[`profile.${i}.inner_diameter`]?.trim() ?? '';
    if (d || (h && i > 0)) out.push({ height: withUnit(h, unit), inner_diameter: withUnit(d, unit) });
  }
  return out;
}

function Profile({ rows, onRows, onHeld }: { rows: number; onRows: (n: number) => void; onHeld: (name: string) => void }) {
  return (
    <fieldset class="rows">
      <legend class="field-label">Heights and inner diameters</legend>
      <p class="field-help">From the floor (0) up; the last height is the brim. A tape round a stick, callipers, or paper strips will do.</p>
      {Array.from({ length: rows }, (_, i) => (
        <div class="pair row" key={i}>
          <Field name={`profile.${i}.height`} label={i === rows - 1 ? 'B, height of the brim' : i === 0 ? 'Height of the floor' : `Height ${i + 1}`} kind="mm" again={i > 0} onFocus={() => onHeld('height')} />
          <Field name={`profile.${i}.inner_diameter`} label={i === rows - 1 ? 'A, inner diameter there' : `A${i + 1}, inner diameter there`} kind="mm" again={i > 0} onFocus={() => onHeld(i === rows - 1 ? 'inner_diameter' : `profile.${i}`)} />
        </div>
      ))}
      <p class="actions">
        <button type="button" class="button small" disabled={rows >= 32} onClick={() => onRows(rows + 1)}>Add a height</button>
        <button type="button" class="button small quiet-button" disabled={rows <= 2} onClick={() => onRows(rows - 1)}>Take the last away</button>
      </p>
    </fieldset>
  );
}
