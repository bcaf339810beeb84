// Describe a candle, or the next revision of one: the same fields, kept as typed until the door takes them.
import { useEffect, useMemo } from 'preact/hooks';
import { readSpots, spotsForDoor, writeSpots } from '../lib/above';
import { postJson } from '../lib/api';
import { Form, FormProblem, useForm, useFormState, type Values } from '../lib/form';
import { guess, withUnit } from '../lib/guess';
import { answersChanged, useAnswer } from '../lib/live';
import { toTotal, toWax } from '../lib/load';
import { go, usePlace } from '../lib/router';
import { freeName } from '../lib/naming';
import type { Container, Material, MaterialKind, Recipe, RecipeLine, Revision, Series } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { ChoiceField, Field, SelectField, type Option } from '../parts/Field';
import { PlaceWicks } from '../parts/FromAbove';
import { Await, Page, Section } from '../parts/Page';

interface Shelf { materials: Material[]; containers: Container[]; series: Series[] }

export function RecipeNew() {
  const from = usePlace().query.get('from');
  const old = useAnswer<Recipe>(from ? `/api/recipes/${from}` : null);
  return (
    <Page title="Describe a candle" over={<a href="/recipes">Recipes</a>} under={<p>Jar, wax, scent, wick series. The wick size may stay open: finding it is what the forecast is for.</p>}>
      {from ? <Await answer={old}>{(r) => <WithShelf start={valuesOf(r.revision, '')} draft={`recipe:from:${from}`} />}</Await> : <WithShelf start={START} draft="recipe:new" />}
    </Page>
  );
}

export function RecipeRevise({ id }: { id: string }) {
  const recipe = useAnswer<Recipe>(`/api/recipes/${id}`);
  return (
    <Await answer={recipe} page="Revise">
      {(r) => (
        <Page title={`Revise ${r.name}`} over={<a href={`/recipes/${r.id}`}>{r.name}</a>}
          under={<p>This makes revision {r.revision.number + 1}. What was poured stays as it was. Change one thing at a time if you can: then the next test tells you what did it.</p>}>
          <WithShelf start={valuesOf(r.revision, r.name)} draft={`recipe:revise:${r.id}:${r.revision.number}`} revising={r} />
        </Page>
      )}
    </Await>
  );
}

const LONGEST_NAME = 75; // 79 at the door, less a number behind it

const START: Values = { load_basis: 'of_wax', waxes: '1', additives: '0', wick_count: '1', level: 'headspace' };

function valuesOf(v: Revision, name: string): Values {
  const out: Values = {
    name, container: v.container.id, series: v.series.id, size: v.size?.id ?? '', fragrance: v.fragrance?.id ?? '',
    load: v.fragrance ? `${round(v.load_pct)} %` : '', load_basis: v.load_basis, dye: v.dye?.id ?? '', dye_share: v.dye ? `${round(v.dye_share_pct)} %` : '',
    wick_count: String(v.wick_count), places: v.places_default === false && v.places ? writeSpots(v.places.map((p) => ({ x: p.x_mm, y: p.y_mm }))) : '', level: 'fill_height', fill_height: `${round(v.fill_height_mm)} mm`, trim: `${round(v.trim_mm)} mm`,
    session: `${round(v.session_h)} h`, stop_height: `${round(v.stop_height_mm)} mm`, note: v.note_by === 'program' ? '' : v.note ?? '',
    waxes: String(v.waxes.length), additives: String(v.additives.length),
  };
  v.waxes.forEach((w, i) => { out[`waxes.${i}.id`] = w.id; out[`waxes.${i}.share`] = `${round(w.share_pct)} %`; });
  v.additives.forEach((a, i) => { out[`additives.${i}.id`] = a.id; out[`additives.${i}.share`] = `${round(a.share_pct)} %`; });
  return out;
}

const round = (x: number): number => Number(x.toFixed(3));

function WithShelf(props: { start: Values; draft: string; revising?: Recipe }) {
  const materials = useAnswer<{ materials: Material[] }>('/api/materials');
  const containers = useAnswer<{ containers: Container[] }>('/api/containers');
  const series = useAnswer<{ series: Series[] }>('/api/series');
  return (
    <Await answer={materials} what="Reading the shelf">
      {(m) => <Await answer={containers}>{(c) => <Await answer={series}>{(s) => <RecipeForm {...props} shelf={{ materials: m.materials, containers: c.containers, series: s.series }} />}</Await>}</Await>}
    </Await>
  );
}

function bodyOf(v: Values): Record<string, unknown> {
  const mm = typedUnits('mm')[0]!;
  const body: Record<string, unknown> = {};
  for (const key of ['container', 'series', 'size', 'fragrance', 'dye', 'note']) if (v[key]) body[key] = v[key];
  const put = (key: string, unit: string) => { if (v[key]?.trim()) body[key] = withUnit(v[key]!, unit); };
  const shares = (key: string, whole: boolean) =>
    Array.from({ length: Number(v[key] ?? 0) }, (_, i) => ({ id: v[`${key}.${i}.id`] ?? '', share: withUnit(v[`${key}.${i}.share`] || (whole ? '100 %' : ''), '%') }))
      .filter((s) => s.id || s.share);
  body.waxes = shares('waxes', Number(v.waxes) === 1);
  const additives = shares('additives', false);
  if (additives.length) body.additives = additives;
  if (v.fragrance || v.load) { put('load', '%'); body.load_basis = v.load_basis; }
  put('dye_share', '%');
  put(v.level === 'fill_height' ? 'fill_height' : 'headspace', mm);
  put('trim', mm);
  put('session', 'h');
  put('stop_height', mm);
  if (v.wick_count?.trim()) body.wick_count = /^\d+$/.test(v.wick_count.trim()) ? Number(v.wick_count) : v.wick_count.trim();
  const spots = readSpots(v.places, Number(v.wick_count));
  if (spots) body.places = spotsForDoor(spots);
  return body;
}

function RecipeForm({ start, draft, revising, shelf }: { start: Values; draft: string; revising?: Recipe; shelf: Shelf }) {
  const query = usePlace().query;
  const given: Values = {};
  for (const key of ['container', 'series', 'size', 'wick_count']) if (query.get(key)) given[key] = query.get(key)!;
  if (given.series && given.series !== start.series) given.size ??= '';
  if (given.wick_count && given.wick_count !== start.wick_count) given.places = '';
  const form = useForm(draft, { ...start, ...given });
  // what was measured or described on the way is kept with what is typed: the next way off the page must not lose it
  useEffect(() => { if (Object.keys(given).length) form.set(given); }, [query.toString()]);
  const v = form.values;
  const of = (kind: MaterialKind): Option[] => shelf.materials.filter((m) => m.kind === kind && !m.archived)
    .map((m) => ({ value: m.id, label: m.name, group: m.builtin ? 'Tables' : 'This workshop' }));
  const sizes = shelf.series.find((s) => s.id === v.series)?.sizes ?? [];
  const others = useAnswer<{ recipes: RecipeLine[] }>(revising ? null : '/api/recipes?archived=true');
  const called = (id: string | undefined) => [...shelf.materials, ...shelf.containers].find((x) => x.id === id)?.name;
  const scent = called(v.fragrance) ?? called(v['waxes.0.id']) ?? 'First try';
  const jar = called(v.container);
  const unnamed = freeName((jar ? `${scent}, ${jar}` : scent).slice(0, LONGEST_NAME), others.data?.recipes.map((x) => x.name) ?? []);
  const send = () => void form.submit(async (id) => {
    const body = bodyOf(v);
    const made = revising
      ? await postJson<Recipe>(`/api/recipes/${revising.id}/revise`, { request_id: id, ...revision(body, v) })
      : await postJson<Recipe>('/api/recipes', { id, name: v.name?.trim() || unnamed, ...body });
    answersChanged();
    go(`/recipes/${made.id}`);
  });
  return (
    <Form form={form} onSend={send} label={revising ? 'Revision' : 'Recipe'}>
      {!revising && <Section title="Name"><Field name="name" label="Name of the recipe" optional help={v.name?.trim() ? undefined : `“${unnamed}” when empty`} /></Section>}
      <Section title="Container" note={<a href="/shelf/containers/new?back=/recipes/new">Measure a new one</a>}>
        <SelectField name="container" label="Container" options={shelf.containers.map((c) => ({ value: c.id, label: `${c.name}, ${show(c.brim_ml, 'ml')} to the brim` }))}
          help={shelf.containers.length ? undefined : 'None measured yet. Measure one first; what is typed here stays.'} />
        <ChoiceField name="level" label="How full" options={[{ value: 'headspace', label: 'Gap to the brim' }, { value: 'fill_height', label: 'Height of the wax' }]} />
        {v.level === 'fill_height'
          ? <Field name="fill_height" label="Height of the wax" kind="mm" example="75 mm or 3 in, cold, above the inner floor" />
          : <Field name="headspace" label="Gap to the brim" kind="mm" optional example="10 mm or 3/8 in; 10 mm when empty" />}
      </Section>
      <Section title="Wax">
        <Shares name="waxes" what="Wax" options={of('wax')} min={1} />
      </Section>
      <Section title="Scent and load">
        <SelectField name="fragrance" label="Fragrance" optional options={of('fragrance')} empty="Unscented" />
        {v.fragrance && <Load />}
      </Section>
      <Section title="Dye and additives">
        <div class="pair">
          <SelectField name="dye" label="Dye" optional options={of('dye')} empty="Undyed" />
          {v.dye && <Field name="dye_share" label="Share of the wax" kind="pct" example="0.1 %" />}
        </div>
        <Shares name="additives" what="Additive" options={of('additive')} min={0} />
      </Section>
      <Section title="Wick" note={<a href="/shelf/series/new?back=/recipes/new">Describe a new series</a>}>
        <div class="pair">
          <SelectField name="series" label="Series" options={shelf.series.map((s) => ({ value: s.id, label: `${s.name}, ${s.sizes.length} sizes` }))}
            help={shelf.series.length ? undefined : 'None described yet. Describe one first; what is typed here stays.'} />
          <SelectField name="size" label="Size" optional options={sizes.map((s) => ({ value: s.id, label: s.name }))} empty="Still to be found" />
          <Field name="wick_count" label="Wicks in the jar" help="1 to 6" />
          <Field name="trim" label="Trim before lighting" kind="mm" optional help="5 mm or 1/4 in; the construction's usual trim when empty" />
        </div>
        <PlaceWicks containers={shelf.containers} />
      </Section>
      <Section title="Burning">
        <div class="pair">
          <Field name="session" label="One burn lasts" kind="h" optional help="4 h when empty: the usual test burn" />
          <Field name="stop_height" label="Stop with this much wax left" kind="mm" optional help="10 mm when empty; advice differs from 2 to 13 mm, yours goes on the label" />
        </div>
        <Field name="note" label="Note" optional area />
      </Section>
      <FormProblem />
      <p class="actions"><button type="submit" class="button main" disabled={form.busy}>{revising ? `Make revision ${revising.revision.number + 1}` : 'Keep and forecast'}</button></p>
    </Form>
  );
}

/** A field emptied on purpose is said to the door as null: what is not named stays as it was. */
function revision(body: Record<string, unknown>, v: Values): Record<string, unknown> {
  for (const key of ['fragrance', 'dye', 'size', 'note']) if (!v[key]) body[key] = null;
  if (!v.fragrance) Object.assign(body, { load: null, load_basis: null });
  if (!v.dye) body.dye_share = null;
  if (!body.additives) body.additives = [];
  if (!body.places) body.places = null;
  return body;
}

function Load() {
  const { values: v } = useFormState();
  const typed = guess(v.load ?? '', 'pct', '%');
  const additive = useMemo(() => {
    let sum = 0;
    for (let i = 0; i < Number(v.additives ?? 0); i++) sum += guess(v[`additives.${i}.share`] ?? '', 'pct', '%') ?? 0;
    return sum + (v.dye ? (guess(v.dye_share ?? '', 'pct', '%') ?? 0) : 0);
  }, [v]);
  const ofTotal = v.load_basis === 'of_total';
  const ok = typed !== null && typed >= 0 && typed < 50;
  const wax = ok ? (ofTotal ? toWax(typed, additive) : typed) : null;
  const total = ok ? (ofTotal ? typed : toTotal(typed, additive)) : null;
  return (
    <>
      <div class="pair">
        <Field name="load" label="Load" kind="pct" example="8 %" />
        <ChoiceField name="load_basis" label="Per cent of what" options={[{ value: 'of_wax', label: 'of the wax' }, { value: 'of_total', label: 'of the whole mix' }]} />
      </div>
      <p class="both-bases" aria-live="polite">
        <span><b>{show(wax, 'pct', 2)}</b> of the wax</span><span class="quiet">is the same candle as</span><span><b>{show(total, 'pct', 2)}</b> of the whole mix</span>
      </p>
      <p class="field-help">Makers mostly mean “of the wax”; hazard sheets and limits speak of the whole mix.</p>
    </>
  );
}

function Shares({ name, what, options, min }: { name: string; what: string; options: Option[]; min: number }) {
  const form = useFormState();
  const n = Number(form.values[name] ?? min);
  const alone = min === 1 && n === 1;
  return (
    <>
      {Array.from({ length: n }, (_, i) => (
        <div class="pair row" key={i}>
          <SelectField name={`${name}.${i}.id`} label={n > 1 ? `${what} ${i + 1}` : what} options={options} />
          {!alone && <Field name={`${name}.${i}.share`} label={min ? 'Share of the blend' : 'Share of the wax'} kind="pct" />}
        </div>
      ))}
      <p class="actions">
        <button type="button" class="button small quiet-button" disabled={n >= 8} onClick={() => form.set({ [name]: String(n + 1) })}>{n ? `Add another ${what.toLowerCase()}` : `Add an ${what.toLowerCase()}`}</button>
        {n > min && <button type="button" class="button small quiet-button" onClick={() => form.set({ [name]: String(n - 1) })}>Take the last away</button>}
      </p>
    </>
  );
}
