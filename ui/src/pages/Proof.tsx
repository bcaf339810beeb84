// The test of a recipe: the verdict for each wick with its reasons, forecast against fact, the sessions
// behind it, and the maker's decision.
import { useEffect, useState } from 'preact/hooks';
import { postJson, withQuery } from '../lib/api';
import { useForecast } from '../lib/forecast';
import { Form, FormProblem, useForm } from '../lib/form';
import { answersChanged, useAnswer } from '../lib/live';
import type { Photo } from '../lib/photo';
import { readingValue } from '../lib/reading';
import { usePlace } from '../lib/router';
import { say } from '../lib/say';
import type { Candle, Forecast, Limit, Reading, Recipe, Session, SessionCandle, VerdictPage } from '../lib/types';
import { show } from '../lib/units';
import { capital } from '../parts/Origin';
import { atTime, plural, sizeWord } from '../lib/when';
import { serverNow } from '../lib/clock';
import { ChoiceField, Field } from '../parts/Field';
import { Against } from '../parts/Against';
import { EachCandle } from '../parts/EachCandle';
import { Await, Empty, Page, Section } from '../parts/Page';
import { PhotoStrip } from '../parts/PhotoStrip';
import { StateMark } from '../parts/StateMark';
import { StopNow, VerdictView } from '../parts/Verdict';

export function Proof({ id }: { id: string }) {
  const recipe = useAnswer<Recipe>(`/api/recipes/${id}`);
  const verdict = useAnswer<VerdictPage>(`/api/recipes/${id}/verdict`);
  return (
    <Await answer={recipe} page="Proof">
      {(r) => (
        <Page title="Proof" over={<><a href="/recipes">Recipes</a> · <a href={`/recipes/${r.id}`}>{r.name}</a></>} under={<p><StateMark state={r.state} text={r.state_text} /></p>}>
          <Await answer={verdict} what="Judging">{(v) => <Judged recipe={r} page={v} />}</Await>
        </Page>
      )}
    </Await>
  );
}

function Judged({ recipe, page }: { recipe: Recipe; page: VerdictPage }) {
  const asked = usePlace().query.get('size');
  const [size, setSize] = useState(asked ?? recipe.revision.size?.id ?? mostSeen(page));
  const readings = useAnswer<{ readings: Reading[] }>(withQuery('/api/readings', { recipe: recipe.id }));
  const sessions = useAnswer<{ sessions: Session[] }>(withQuery('/api/sessions', { recipe: recipe.id }));
  const candles = useAnswer<{ candles: Candle[] }>(withQuery('/api/candles', { recipe: recipe.id }));
  const limits = useAnswer<{ limits: Limit[] }>('/api/limits');
  const wick = page.wicks.find((w) => w.size_id === size) ?? page.wicks[0];
  const [known, setKnown] = useState(false);
  const forecast = useForecast(recipe.id, wick?.size_id, page.revision, known);
  const banded = useAnswer<Forecast>(wick && forecast.data
    ? withQuery(`/api/recipes/${recipe.id}/forecast`, { wick: wick.size_id, revision: page.revision, members: 32 }) : null);
  useEffect(() => { if (banded.data) setKnown(true); }, [banded.data]);
  if (!wick) {
    return (
      <Empty action={<a class="button" href={`/recipes/${recipe.id}#plan`}>See what to pour first</a>}>
        <p>No candle of this recipe has been poured and lit yet.</p>
      </Empty>
    );
  }
  const own = (candles.data?.candles ?? []).filter((c) => wick.candles.includes(c.code));
  const stops = wick.verdict.findings.filter((f) => f.weight === 'stop' && own.some((c) => c.code === f.candle && c.state === 'lit'));
  return (
    <>
      <StopNow findings={stops} />
      {page.wicks.length > 1 && (
        <fieldset class="sizes">
          <legend>Wick</legend>
          <div class="sizes-row">
            {page.wicks.map((w) => (
              <label key={w.size_id} class="size-item"><input type="radio" name="wick" checked={w === wick} onChange={() => setSize(w.size_id)} /><span>{w.size_name}</span></label>
            ))}
          </div>
        </fieldset>
      )}
      <Section title="Verdict" note={`${sizeWord(wick.size_name)}, ${plural(wick.candles.length, 'candle')}`}>
        <VerdictView verdict={wick.verdict} readings={readings.data?.readings ?? []} />
      </Section>
      <Section title="Forecast and fact" wide note="dots were measured in sessions that are over; line and band are the forecast as it stands now">
        <Await answer={forecast} what="Fetching the forecast">
          {(f) => <Against forecast={banded.data ?? f} waiting={banded.loading} readings={(readings.data?.readings ?? []).filter((r) => wick.candles.includes(r.code))} sessions={sessions.data?.sessions ?? []} codes={wick.candles} limits={limits.data?.limits} />}
        </Await>
      </Section>
      {page.wicks.flatMap((w) => w.candles).length > 1 && (
        <Section title="Candle by candle" wide note="all candles of this test, whatever their wick">
          <EachCandle {...{ recipe, page, known }} candles={candles.data?.candles ?? []} readings={readings.data?.readings ?? []} sessions={sessions.data?.sessions ?? []} limits={limits.data?.limits} />
        </Section>
      )}
      <ProofPhotos recipe={recipe.id} codes={wick.candles} readings={readings.data?.readings ?? []} />
      <Section title="Sessions">
        <SessionTable sessions={sessions.data?.sessions ?? []} codes={wick.candles} />
        <p class="actions"><a class="button" href={`/light?recipe=${recipe.id}`}>Light candles</a></p>
      </Section>
      <Section title="Decide" id="decide"><Decide key={wick.size_id} recipe={recipe} size={wick.size_id} name={wick.size_name} right={wick.verdict.kind === 'right'} /></Section>
    </>
  );
}

/** The photos of a wick's candles, a strip for each session. */
function ProofPhotos({ recipe, codes, readings }: { recipe: string; codes: string[]; readings: Reading[] }) {
  const answer = useAnswer<{ photos: Photo[] }>(withQuery('/api/photos', { recipe, limit: 500 }));
  const own = (answer.data?.photos ?? []).filter((p) => codes.includes(p.code));
  if (!own.length) return null;
  const text = (id: string) => {
    const r = readings.find((x) => x.id === id);
    return r ? `${r.label} ${readingValue(r.value, r.unit, r.kind)}` : '';
  };
  const sessions = [...new Set(own.map((p) => p.session_id))].reverse();
  return (
    <Section title="Photos" note={plural(own.length, 'photo')}>
      {sessions.map((id) => {
        const these = own.filter((p) => p.session_id === id);
        return (
          <div key={id}>
            <p><a href={`/sessions/${id}`}>{atTime(these[these.length - 1]!.at, serverNow())}</a></p>
            <PhotoStrip photos={these} text={text} label={`Photos of the session of ${atTime(these[0]!.at, serverNow())}`} />
          </div>
        );
      })}
    </Section>
  );
}

/** The wick with most to say comes first. */
const mostSeen = (page: VerdictPage): string =>
  [...page.wicks].sort((a, b) => b.verdict.findings.length - a.verdict.findings.length)[0]?.size_id ?? '';

function SessionTable({ sessions, codes }: { sessions: Session[]; codes: string[] }) {
  const rows = sessions.flatMap((s) => s.candles.map((c) => ({ s, c }))).sort((a, b) => a.c.number - b.c.number);
  const burned = codes.filter((code) => rows.some((r) => r.c.code === code));
  if (!burned.length) return <p class="quiet">None yet.</p>;
  return (
    <>
      {burned.map((code, i) => {
        const own = rows.filter((r) => r.c.code === code);
        const left = own[own.length - 1]!.c.wax_left_pct;
        return (
          <details key={code} class="sessions" open={i === 0}>
            <summary>{code}: {plural(own.length, 'session')}{left !== null && `, ${show(left, 'pct', 0)} of the wax left`}</summary>
            <div class="scroll" tabIndex={0} role="region" aria-label={`Sessions of ${code}, table`}>
              <table>
                <thead><tr><th scope="col">session</th><th scope="col">lit</th><th scope="col">burned</th><th scope="col">rate</th><th scope="col">wax left</th><th scope="col">end</th></tr></thead>
                <tbody>{own.map(({ s, c }) => <SessionRow key={s.id} session={s} candle={c} />)}</tbody>
              </table>
            </div>
          </details>
        );
      })}
    </>
  );
}

function SessionRow({ session: s, candle: c }: { session: Session; candle: SessionCandle }) {
  return (
    <tr>
      <th scope="row">{c.number}{c.before_cure && <span class="tag warn">before cure</span>}{c.before_rest && <span class="tag warn">before rest</span>}</th>
      <td><a href={`/sessions/${s.id}`}>{atTime(s.lit_at, serverNow())}</a></td>
      <td>{c.burned_g === null ? '–' : show(c.burned_g, 'g')}</td>
      <td>{c.rate_g_h === null ? '–' : show(c.rate_g_h, 'g_h')}</td>
      <td>{c.wax_left_pct === null ? '–' : show(c.wax_left_pct, 'pct', 0)}</td>
      <td>{c.ended_at ? (c.reason ?? 'out').replace('_', ' ') : 'burning'}</td>
    </tr>
  );
}

function Decide({ recipe, size, name, right }: { recipe: Recipe; size: string; name: string; right: boolean }) {
  const already = recipe.state === 'proven' && recipe.revision.size?.id === size;
  const form = useForm(`decide:${recipe.id}:${size}`, { decision: right && !already ? 'proven' : '' });
  const send = () => void form.submit(async (id) => {
    await postJson(`/api/recipes/${recipe.id}/decide`, { request_id: id, size, decision: form.values.decision ?? '', ...(form.values.note ? { note: form.values.note } : {}) });
    answersChanged();
    say('The decision is written down.');
  });
  return (
    <Form form={form} onSend={send} label="Decision">
      <p>{already ? `${capital(sizeWord(name))} is proven already: revision ${recipe.revision.number} names it. It can be rejected or opened again.` : right ? `${capital(sizeWord(name))} has been judged right. Deciding fixes it as the next revision.` : `${capital(sizeWord(name))} can be called proven only once its verdict is right.`} A decision is yours; the checks it rests on are listed above, and they are no proof against misuse, other rooms or other lots.</p>
      <ChoiceField name="decision" label="Decision" options={[...(already ? [] : [{ value: 'proven', label: 'Proven' }]), { value: 'rejected', label: 'Rejected' }, { value: 'reopened', label: 'Open again' }]} />
      <Field name="note" label="Note" optional area />
      <FormProblem />
      <p class="actions"><button type="submit" class="button" disabled={form.busy || !form.values.decision}>Write the decision down</button></p>
    </Form>
  );
}
