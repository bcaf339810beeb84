// Tables in and out: a part of the workshop as comma-separated values, saved or taken in. What is taken in is
// tried first, and shown: what it adds, what it changes, and every line that is wrong.
import { useEffect, useRef, useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { newId } from '../lib/ids';
import { answersChanged, useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import { plural } from '../lib/when';
import { Await, Page, Section } from '../parts/Page';

interface Table { key: string; label: string }
interface Columns extends Table { columns: { name: string; required: boolean; says: string }[] }
interface Intake {
  table: string; rows: number; things: number; added: number; changed: number; there_already: number; wrong: number; kept: boolean;
  items: { line: number; done: string; what: string }[]; errors: { line: number; column: string; text: string }[];
}

const MOST_BYTES = 900_000; // the door takes 1 MiB, and quotes grow on the way
const NAMES: Record<string, string> = { materials: 'Materials', series: 'Wick series', containers: 'Containers', lots: 'Lots', sessions: 'Sessions', readings: 'Readings' };

export function Tables() {
  const of = usePlace().query.get('of') ?? 'series';
  const tables = useAnswer<{ tables: Table[] }>('/api/csv');
  return (
    <Page title="Tables in and out" over={<a href="/shelf">Shelf</a>} under={<p>As comma-separated values (CSV), for a spreadsheet, a copy of your own, or another workshop.</p>}>
      <Await answer={tables}>
        {({ tables: list }) => {
          const now = list.find((t) => t.key === of) ?? list[0]!;
          return (
            <>
              <nav class="tabs" aria-label="Tables">
                {list.map((t) => <a key={t.key} href={`/shelf/tables?of=${t.key}`} aria-current={t === now ? 'page' : undefined} onClick={(e) => { e.preventDefault(); go(`/shelf/tables?of=${t.key}`, true); }}>{NAMES[t.key] ?? t.key}</a>)}
              </nav>
              <OneTable key={now.key} table={now} />
            </>
          );
        }}
      </Await>
    </Page>
  );
}

function OneTable({ table }: { table: Table }) {
  const columns = useAnswer<Columns>(`/api/csv/${table.key}/columns`);
  return (
    <>
      <Section title="Out" note={table.label}>
        <p><a class="button" href={`/api/csv/${table.key}`} download={`${table.key}.csv`}>Save {table.key}.csv</a></p>
        <p class="quiet">A spreadsheet runs a cell that begins with = + - or @. Texts that begin so are saved with an apostrophe in front, and it goes away when they come in again.</p>
      </Section>
      <Section title="In" note="tried first, then taken in whole or not at all">
        <Intaking table={table.key} />
      </Section>
      <Section title="Columns">
        <p>Commas between cells, a point in numbers, UTF-8. A number is in the unit its column’s name ends in, or carries its own: <span class="nobreak">2 7/8 in</span>.</p>
        <Await answer={columns}>
          {(c) => (
            <div class="scroll" tabIndex={0} role="region" aria-label="Columns, table">
              <table>
                <thead><tr><th scope="col">column</th><th scope="col">what stands in it</th></tr></thead>
                <tbody>{c.columns.map((x) => <tr key={x.name}><th scope="row">{x.name}{x.required && <span class="tag">needed</span>}</th><td>{x.says}</td></tr>)}</tbody>
              </table>
            </div>
          )}
        </Await>
      </Section>
    </>
  );
}

type Step = { at: 'none' } | { at: 'trying'; name: string } | { at: 'tried'; name: string; text: string; intake: Intake } | { at: 'taking'; name: string; text: string; intake: Intake } | { at: 'taken'; name: string; intake: Intake } | { at: 'refused'; name: string; why: string };

async function textOf(file: File): Promise<string> {
  if (file.size > MOST_BYTES) throw new Error(`The file has ${Math.ceil(file.size / 1000)} kB; this page takes up to ${MOST_BYTES / 1000} kB. Split it, or use the command: evenpool csv import.`);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error('This is not UTF-8 text. Save it from the spreadsheet as CSV in UTF-8.');
  }
}

function Intaking({ table }: { table: string }) {
  const [step, setStep] = useState<Step>({ at: 'none' });
  const request = useRef('');
  const input = useRef<HTMLInputElement>(null);
  const told = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (step.at === 'tried' || step.at === 'refused' || step.at === 'taken') told.current?.focus();
  }, [step.at]);

  const choose = async (file: File | undefined) => {
    if (!file) return;
    request.current = newId();
    setStep({ at: 'trying', name: file.name });
    try {
      const text = await textOf(file);
      setStep({ at: 'tried', name: file.name, text, intake: await postJson<Intake>(`/api/csv/${table}/check`, { table: text }, 120000) });
    } catch (e) {
      setStep({ at: 'refused', name: file.name, why: e instanceof Error ? e.message : String(e) });
    }
    if (input.current) input.current.value = '';
  };
  const take = async () => {
    if (step.at !== 'tried') return;
    setStep({ ...step, at: 'taking' });
    try {
      const intake = await postJson<Intake>(`/api/csv/${table}/import`, { request_id: request.current, table: step.text }, 120000);
      setStep({ at: 'taken', name: step.name, intake });
      answersChanged();
    } catch (e) {
      setStep({ at: 'refused', name: step.name, why: e instanceof Error ? e.message : String(e) });
    }
  };

  const busy = step.at === 'trying' || step.at === 'taking';
  return (
    <>
      <div class="field for-all">
        <label class="field-label" for="csv-file">File to take in</label>
        <input ref={input} id="csv-file" class="file" type="file" accept=".csv,text/csv,text/plain" disabled={busy} onChange={(e) => void choose(e.currentTarget.files?.[0])} />
        <p class="field-help">Nothing is kept yet: first you see what it would do.</p>
      </div>
      <div ref={told} tabIndex={-1} class="told" role="status">
        {busy && <p class="quiet">{step.at === 'trying' ? `Trying ${step.name}…` : `Taking in ${step.name}…`}</p>}
        {step.at === 'refused' && <p class="notice warn"><b>{step.name}</b>: {step.why}</p>}
        {step.at === 'taken' && <p class="notice"><b>{step.name}</b> is taken in: {summary(step.intake)}.</p>}
        {(step.at === 'tried' || step.at === 'taking') && <Preview name={step.name} intake={step.intake} />}
      </div>
      {step.at === 'tried' && (
        <p class="actions">
          {step.intake.wrong === 0 && step.intake.added + step.intake.changed > 0 && <button type="button" class="button main" onClick={() => void take()}>Take in {step.name}</button>}
          <button type="button" class="button quiet-button" onClick={() => setStep({ at: 'none' })}>Leave it</button>
        </p>
      )}
    </>
  );
}

const summary = (i: Intake): string =>
  [i.added && `${i.added} added`, i.changed && `${i.changed} changed`, i.there_already && `${i.there_already} there already`].filter(Boolean).join(', ') || 'nothing in it';

function Preview({ name, intake }: { name: string; intake: Intake }) {
  if (intake.wrong) {
    const left = intake.wrong - intake.errors.length;
    return (
      <>
        <p class="notice warn"><b>{name}</b>: {plural(intake.wrong, 'mistake')} in {plural(intake.rows, 'row')}. Put them right in the file and choose it again; until then nothing of it is taken in.</p>
        <div class="scroll" tabIndex={0} role="region" aria-label="Mistakes, table">
          <table>
            <thead><tr><th scope="col">line</th><th scope="col">column</th><th scope="col">what is wrong</th></tr></thead>
            <tbody>{intake.errors.map((e, k) => <tr key={k}><th scope="row">{e.line}</th><td>{e.column}</td><td>{e.text}</td></tr>)}</tbody>
          </table>
        </div>
        {left > 0 && <p class="quiet">and {left} more</p>}
      </>
    );
  }
  const news = intake.added + intake.changed;
  return (
    <>
      <p class="notice"><b>{name}</b>: {plural(intake.rows, 'row')}. {news ? <>This would be the change: {summary(intake)}.</> : <>Nothing new in it: {summary(intake)}.</>}</p>
      {intake.items.length > 0 && (
        <div class="scroll preview" tabIndex={0} role="region" aria-label="What would change, table">
          <table>
            <thead><tr><th scope="col">line</th><th scope="col">what</th><th scope="col">becomes</th></tr></thead>
            <tbody>{intake.items.map((i) => <tr key={i.line}><th scope="row">{i.line}</th><td>{i.what}</td><td>{i.done}</td></tr>)}</tbody>
          </table>
        </div>
      )}
      {news > intake.items.length && <p class="quiet">and {news - intake.items.length} more</p>}
    </>
  );
}
