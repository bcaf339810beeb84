// Weigh out and pour N identical candles: the sheet on screen, then what really went in.
import { postJson, withQuery } from '../lib/api';
import { Form, FormProblem, useForm, useFormState } from '../lib/form';
import { guess, withUnit } from '../lib/guess';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import type { Lot, Meta, Pour, Recipe, Series, Weighout } from '../lib/types';
import { show, typedUnits } from '../lib/units';
import { capital } from '../parts/Origin';
import { plural, sizeWord } from '../lib/when';
import { Cautions } from '../parts/Caution';
import { CheckField, Field } from '../parts/Field';
import { Await, Page, Section } from '../parts/Page';

export function PourNew() {
  const query = usePlace().query;
  const id = query.get('recipe') ?? '';
  const recipe = useAnswer<Recipe>(`/api/recipes/${id}`);
  const seriesId = recipe.data?.revision.series.id;
  const series = useAnswer<Series>(seriesId ? `/api/series/${seriesId}` : null);
  return (
    <Await answer={recipe} page="Pour">
      {(r) => (
        <Page title="Pour" over={<><a href="/recipes">Recipes</a> · <a href={`/recipes/${r.id}`}>{r.name}</a></>} under={<p>Revision {r.revision.number}. Once poured, it can no longer change: a change makes the next one.</p>}>
          <Await answer={series}>{(s) => <PourForm recipe={r} series={s} set={query.get('set') ?? ''} />}</Await>
        </Page>
      )}
    </Await>
  );
}

function PourForm({ recipe, series, set }: { recipe: Recipe; series: Series; set: string }) {
  const r = recipe.revision;
  const initial: Record<string, string> = { loss: '3 %', resolution: '1 g' };
  for (const s of series.sizes) initial[`set.${s.id}`] = r.size?.id === s.id && !set ? '2' : '';
  for (const part of set.split(',').filter(Boolean)) {
    const [size, n] = part.split(':');
    if (size && n) initial[`set.${size}`] = n;
  }
  const form = useForm(`pour:${recipe.id}:${r.number}:${set}`, initial);
  const meta = useAnswer<Meta>('/api/meta');
  const lots = useAnswer<{ lots: Lot[] }>('/api/lots');
  const v = form.values;
  const count = series.sizes.reduce((n, s) => n + (Number(v[`set.${s.id}`]) || 0), 0);
  const [g, C] = [typedUnits('g')[0]!, typedUnits('C')[0]!];
  const usable = (lots.data?.lots ?? []).filter((l) => lotFits(l, recipe));

  const send = () => void form.submit(async (id) => {
    const body: Record<string, unknown> = {
      id, recipe: recipe.id, revision: r.number,
      set: series.sizes.filter((s) => v[`set.${s.id}`]?.trim() && v[`set.${s.id}`] !== '0').map((s) => ({ size: s.id, candles: /^\d+$/.test(v[`set.${s.id}`]!.trim()) ? Number(v[`set.${s.id}`]) : v[`set.${s.id}`] })),
    };
    const put = (key: string, unit: string) => { if (v[key]?.trim()) body[key] = withUnit(v[key]!, unit); };
    ['wax_mass', 'fragrance_mass', 'dye_mass'].forEach((k) => put(k, g));
    ['wax_peak', 'add_temp', 'pour_temp', 'vessel_temp', 'room_temp'].forEach((k) => put(k, C));
    put('humidity', '%');
    put('note', '');
    const taken = usable.filter((l) => v[`lot.${l.id}`] === '1').map((l) => l.id);
    if (taken.length) body.lots = taken;
    const pour = await postJson<Pour>('/api/pours', body);
    answersChanged();
    go(`/pours/${pour.id}`);
  });

  return (
    <Form form={form} onSend={send} label="Pour">
      <Section title="How many of which" note={count ? plural(count, 'candle') : 'none yet; 1 to 200 of a size, for example 2'}>
        <div class="counts">{series.sizes.map((s) => <Field key={s.id} name={`set.${s.id}`} as="set.candles" again example="2" label={capital(sizeWord(s.name))} help={show(s.linear_density_g_m, 'g_m')} optional="quiet" />)}</div>
      </Section>
      <Section title="Weigh out" note="all candles of the set from one pot">
        <div class="pair">
          <Field name="loss" label="Allowance" kind="pct" optional help="stays in pot and jug; 3 % when empty, 2 to 5 % is common practice" />
          <Field name="residue" label="Film left in the pot" kind="g" optional help="none when empty" />
          <Field name="resolution" label="Scale reads to" kind="g" optional help="0.1 g when empty" />
        </div>
        {count > 0 ? <Sheet recipe={recipe} count={count} saidHere={meta.data?.cautions.melting ?? []} /> : <p class="quiet">Say how many candles, and the masses appear here.</p>}
      </Section>
      <Cautions list={meta.data?.cautions.melting} title="Melting and pouring" />
      <Section title="What really went in" note="the actual figures, not the plan; leave out what you did not measure">
        <div class="pair">
          <Field name="wax_mass" label="Wax" kind="g" optional="quiet" />
          {r.fragrance && <Field name="fragrance_mass" label="Fragrance" kind="g" optional="quiet" />}
          {r.dye && <Field name="dye_mass" label="Dye" kind="g" optional="quiet" />}
          <Field name="wax_peak" label="Wax heated to" kind="C" optional="quiet" example="80 C" />
          {r.fragrance && <Field name="add_temp" label="Fragrance stirred in at" kind="C" optional="quiet" />}
          <Field name="pour_temp" label="Poured at" kind="C" optional="quiet" />
          <Field name="vessel_temp" label="Container" kind="C" optional="quiet" />
          <Field name="room_temp" label="Room" kind="C" optional="quiet" />
          <Field name="humidity" label="Humidity" kind="pct" optional="quiet" />
        </div>
        <ActualLoad />
      </Section>
      <Section title="Lots" note={<a href={`/shelf/lots/new`}>Write down a lot</a>}>
        {usable.length ? usable.map((l) => <CheckField key={l.id} name={`lot.${l.id}`} label={`${l.material_name}, lot ${l.code}`} />) : <p class="quiet">No lot of these materials is written down. With lots, a changed delivery can be found later.</p>}
        <Field name="note" label="Note" optional area />
      </Section>
      <FormProblem />
      <p class="actions"><button type="submit" class="button main big" disabled={form.busy || !count}>{count ? `${plural(count, 'candle')} poured` : 'Say how many candles'}</button></p>
    </Form>
  );
}

function lotFits(lot: Lot, recipe: Recipe): boolean {
  const r = recipe.revision;
  return [r.container.id, r.series.id, r.fragrance?.id, r.dye?.id, ...r.waxes.map((w) => w.id), ...r.additives.map((a) => a.id)].includes(lot.material_id);
}

function Sheet({ recipe, count, saidHere }: { recipe: Recipe; count: number; saidHere: string[] }) {
  const { values: v } = useFormState();
  const [g] = typedUnits('g');
  const path = withQuery(`/api/recipes/${recipe.id}/weighout`, {
    revision: recipe.revision.number, candles: count, loss: withUnit(v.loss ?? '', '%'), residue: withUnit(v.residue ?? '', g!), resolution: withUnit(v.resolution ?? '', g!),
  });
  const sheet = useAnswer<Weighout>(path);
  return <Await answer={sheet} what="Weighing out">{(w) => <SheetTable sheet={w} saidHere={saidHere} />}</Await>;
}

/** `saidHere` are cautions the page says by itself. */
export function SheetTable({ sheet: w, saidHere = [] }: { sheet: Weighout; saidHere?: string[] }) {
  const digits = w.resolution_g >= 1 ? 0 : w.resolution_g >= 0.1 ? 1 : 2;
  return (
    <div class="sheet weigh">
      <table>
        <caption class="unseen">Masses to weigh out for {plural(w.candles, 'candle')}</caption>
        <tbody>
          {w.lines.map((l) => <tr key={l.id + l.what}><th scope="row">{l.name} <span class="quiet">{l.what}</span></th><td class="big-number">{show(l.mass_g, 'g', digits)}</td></tr>)}
          <tr class="total"><th scope="row">Together</th><td class="big-number">{show(w.total_g, 'g', digits)}</td></tr>
        </tbody>
      </table>
      <p>
        {show(w.fill_mass_g, 'g')} in each of {plural(w.candles, 'candle')}
        {(w.load_of_wax_pct > 0) && <>; load <b>{show(w.load_of_wax_pct, 'pct', 2)}</b> of the wax, <b>{show(w.load_of_total_pct, 'pct', 2)}</b> of the mix</>}
        {w.rounding_pct > 0.05 && <>; rounding moves a share by up to {show(w.rounding_pct, 'pct', 2)}</>}.
      </p>
      {(w.add_C !== null || w.pour_C !== null) && <p class="quiet">{w.add_C !== null && <>Stir the fragrance in at {show(w.add_C, 'C')}. </>}{w.pour_C !== null && <>Pour at {show(w.pour_C, 'C')}.</>} From the wax's row on the shelf.</p>}
      <Cautions list={w.cautions.filter((c) => !saidHere.includes(c))} />
    </div>
  );
}

function ActualLoad() {
  const { values: v } = useFormState();
  const g = typedUnits('g')[0]!;
  const wax = guess(v.wax_mass ?? '', 'g', g);
  const oil = guess(v.fragrance_mass ?? '', 'g', g);
  if (!wax || oil === null) return null;
  return <p class="both-bases" aria-live="polite"><span>Load as weighed: <b>{show((100 * oil) / wax, 'pct', 2)}</b> of the wax</span></p>;
}
