// A material with every number's origin; writing a measured value in its place; adding one's own.
import { useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { Form, FormProblem, useForm } from '../lib/form';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import type { Lot, Container, Material, MaterialKind, Prop, Series } from '../lib/types';
import { rangeOf, type FieldRow } from '../lib/fields';
import { said } from '../lib/said';
import { kindOf, plain, typedUnits } from '../lib/units';
import { withUnit } from '../lib/guess';
import { Field, SelectField, ChoiceField } from '../parts/Field';
import { PropValue } from '../parts/Origin';
import { Await, Page, Section } from '../parts/Page';
import { Worded } from '../parts/Term';

const KIND_WORD: Record<MaterialKind, string> = {
  wax: 'wax', fragrance: 'fragrance', dye: 'dye', additive: 'additive', container: 'container material', wick: 'wick construction',
};

export function MaterialPage({ id }: { id: string }) {
  const answer = useAnswer<Material>(`/api/materials/${id}`);
  return <Await answer={answer} page="Material">{(m) => <MaterialOf material={m} />}</Await>;
}

function MaterialOf({ material: m }: { material: Material }) {
  const [editing, setEditing] = useState<string | null>(null);
  return (
    <Page title={m.name} over={<><a href="/shelf">Shelf</a> · <a href={`/shelf?of=${m.kind}`}>{KIND_WORD[m.kind]}</a></>}
      under={<p>{m.builtin ? 'From the tables. Make your own from it to put your values in.' : 'This workshop’s own.'} {m.klass}</p>}>
      {m.builtin && <p class="actions"><a class="button" href={`/shelf/materials/new?kind=${m.kind}&from=${m.id}`}>Make my own from it</a></p>}
      <Section title="Properties" note="tap a number for its origin">
        <dl class="props">
          {Object.entries(m.props).map(([key, p]) => (
            <div key={key}>
              <dt><Worded>{said(p.label)}</Worded>{p.help && <span class="quiet"><Worded>{said(p.help)}</Worded></span>}</dt>
              <dd>
                <PropValue prop={p} />
                {!m.builtin && (editing === key
                  ? <SetProp material={m} propKey={key} prop={p} onDone={() => setEditing(null)} />
                  : <button type="button" class="link for-all" onClick={() => setEditing(key)}>set<span class="unseen"> {p.label}</span></button>)}
              </dd>
            </div>
          ))}
        </dl>
      </Section>
    </Page>
  );
}

const HOW = [
  { value: 'measured', label: 'measured here' }, { value: 'sheet', label: 'from its data sheet' }, { value: 'practice', label: 'common practice' }, { value: 'memory', label: 'from memory' },
];

const degrees = (unit: string): string => (/^[CF]$/.test(unit) ? `°${unit}` : unit);

const unitFor = (p: Prop): string => { const k = kindOf(p.unit); return k ? typedUnits(k)[0]! || p.unit : p.unit; };

/** As an example in a table of fields: in the door's unit, or nothing where nothing is known. */
const shownAs = (value: number | null, unit: string): string => (value === null ? '' : `${plain(value)} ${unit}`.trim());

const rowOfProp = (p: Prop): FieldRow => ({ unit: p.unit, min: p.min, max: p.max, example: shownAs(p.value, p.unit) });

/** How it is known, in short, and the work it was read in by author and title; the page of the material says the rest. */
function originOf(p: Prop): string {
  const work = /^.*?: .*?(?=\. |$)|^.*?(?=\. |$)/.exec(p.source_text ?? '')?.[0];
  const how = p.how === 'derived' ? 'worked out from' : p.how === 'read' ? 'read in' : `${p.how_text.split(';')[0]},`;
  return work ? `${how} ${work}` : how.replace(/,$/, '');
}

function SetProp({ material, propKey, prop, onDone }: { material: Material; propKey: string; prop: Prop; onDone: () => void }) {
  const form = useForm(`prop:${material.id}:${propKey}`, { how: 'sheet' });
  const send = () => void form.submit(async (id) => {
    const v = form.values;
    const body: Record<string, string> = { request_id: id, key: propKey, value: withUnit(v.value ?? '', unitFor(prop)), how: v.how ?? 'sheet' };
    for (const k of ['lo', 'hi']) if (v[k]?.trim()) body[k] = withUnit(v[k]!, unitFor(prop));
    if (v.source?.trim()) body.source = v.source.trim();
    await postJson(`/api/materials/${material.id}/props`, body);
    answersChanged();
    onDone();
  });
  return (
    <div class="sheet">
      <Form form={form} onSend={send} label={`Set ${prop.label}`}>
        <Field name="value" label={`Value${prop.unit ? ` (${degrees(unitFor(prop))})` : ''}`} row={rowOfProp(prop)} help={`now ${originOf(prop)}`} />
        <div class="pair">
          <Field name="lo" label="Plausible from" optional row={{ ...rowOfProp(prop), example: shownAs(prop.lo, prop.unit) }} />
          <Field name="hi" label="to" optional row={{ ...rowOfProp(prop), example: shownAs(prop.hi, prop.unit) }} />
        </div>
        <ChoiceField name="how" label="How it is known" options={HOW} />
        <Field name="source" label="Source" optional example="sheet of March 2026" />
        <FormProblem />
        <p class="actions"><button type="submit" class="button" disabled={form.busy}>Write it down</button> <button type="button" class="button quiet-button" onClick={onDone}>Leave it</button></p>
      </Form>
    </div>
  );
}

export function MaterialNew() {
  const query = usePlace().query;
  const kind = (query.get('kind') ?? 'wax') as MaterialKind;
  const answer = useAnswer<{ materials: Material[] }>(`/api/materials?kind=${kind}`);
  return (
    <Page title={`Add a ${KIND_WORD[kind]}`} over={<a href={`/shelf?of=${kind}`}>Shelf</a>} under={<p>Start from the nearest one in the tables; then put in what your data sheet or your bench says. What you leave keeps the wide range of the tables.</p>}>
      <Await answer={answer}>{({ materials }) => <MaterialForm key={kind} kind={kind} from={query.get('from') ?? ''} materials={materials} />}</Await>
    </Page>
  );
}

function MaterialForm({ kind, from, materials }: { kind: MaterialKind; from: string; materials: Material[] }) {
  const form = useForm(`material:${kind}:${from}`, { based_on: from });
  const v = form.values;
  const base = materials.find((m) => m.id === v.based_on);
  const send = () => void form.submit(async (id) => {
    const props: Record<string, { value: string; how: string }> = {};
    for (const [key, p] of Object.entries(base?.props ?? {})) if (v[`props.${key}`]?.trim()) props[key] = { value: withUnit(v[`props.${key}`]!, unitFor(p)), how: 'sheet' };
    const made = await postJson<Material>('/api/materials', { id, kind, name: v.name ?? '', based_on: v.based_on ?? '', ...(Object.keys(props).length ? { props } : {}) });
    answersChanged();
    go(`/shelf/materials/${made.id}`);
  });
  return (
    <Form form={form} onSend={send} label="Material">
      <Section title="What it is">
        <Field name="name" label="Name" />
        <SelectField name="based_on" label="Nearest in the tables" options={materials.map((m) => ({ value: m.id, label: m.name }))} />
      </Section>
      {base && (
        <Section title="From its data sheet" note="leave empty what the sheet does not say">
          <div class="pair">
            {Object.entries(base.props).map(([key, p]) => <Field key={key} name={`props.${key}`} label={`${said(p.label)}${unitFor(p) ? ` (${degrees(unitFor(p))})` : ''}`} optional row={rowOfProp(p)} help={`tables: ${p.lo === null || p.hi === null ? '' : `${rangeOf({ unit: p.unit, min: p.lo, max: p.hi })}, `}${originOf(p)}`} />)}
          </div>
        </Section>
      )}
      <FormProblem />
      <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Put it on the shelf</button></p>
    </Form>
  );
}

export function LotNew() {
  const materials = useAnswer<{ materials: Material[] }>('/api/materials');
  const series = useAnswer<{ series: Series[] }>('/api/series');
  const containers = useAnswer<{ containers: Container[] }>('/api/containers');
  return (
    <Page title="Write down a lot" over={<a href="/shelf?of=lots">Shelf</a>}>
      <Await answer={materials}>{(m) => <Await answer={series}>{(s) => <Await answer={containers}>{(c) => (
        <LotForm options={[
          ...c.containers.map((x) => ({ value: x.id, label: x.name, group: 'Containers' })), ...s.series.map((x) => ({ value: x.id, label: x.name, group: 'Wick series' })),
          ...m.materials.map((x) => ({ value: x.id, label: x.name, group: KIND_WORD[x.kind] })),
        ]} />
      )}</Await>}</Await>}</Await>
    </Page>
  );
}

function LotForm({ options }: { options: { value: string; label: string; group: string }[] }) {
  const form = useForm('lot:new', {});
  const send = () => void form.submit(async (id) => {
    const v = form.values;
    const body: Record<string, string> = { id, material: v.material ?? '', code: v.code ?? '' };
    if (v.received?.trim()) body.received = v.received.trim();
    if (v.quantity?.trim()) body.quantity = withUnit(v.quantity, typedUnits('g')[0]!);
    if (v.note?.trim()) body.note = v.note.trim();
    await postJson<Lot>('/api/lots', body);
    answersChanged();
    go('/shelf?of=lots');
  });
  return (
    <Form form={form} onSend={send} label="Lot">
      <Section title="The lot">
        <SelectField name="material" label="Of what" options={options} />
        <Field name="code" label="Code on the box" />
        <div class="pair">
          <Field name="received" label="Received" optional example="2026-11-25" />
          <Field name="quantity" label="Quantity" kind="g" optional example="5 kg or 10 lb" />
        </div>
        <Field name="note" label="Note" optional area />
      </Section>
      <FormProblem />
      <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Write it down</button></p>
    </Form>
  );
}
