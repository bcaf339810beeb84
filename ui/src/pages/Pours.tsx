// Pours: every set that was poured, its candles by code, their cure clocks.
import { useNow } from '../lib/clock';
import { useAnswer } from '../lib/live';
import type { Candle, Pour } from '../lib/types';
import { show } from '../lib/units';
import { atTime, onDate, plural, sizeWord, span } from '../lib/when';
import { soFar } from '../lib/candle';
import { Cautions } from '../parts/Caution';
import { Await, Empty, Page, Section } from '../parts/Page';
import { Tape } from '../parts/Tape';
import { SheetTable } from './PourNew';
import { Worded } from '../parts/Term';

export function Pours() {
  const answer = useAnswer<{ pours: Pour[] }>('/api/pours');
  const now = useNow(60000);
  return (
    <Page title="Pours">
      <Await answer={answer}>
        {({ pours }) => pours.length ? (
          <ul class="ledger">
            {pours.map((p) => (
              <li key={p.id}>
                <a class="ledger-row" href={`/pours/${p.id}`}>
                  <span class="ledger-name">{onDate(p.poured_at)}</span>
                  <span class="ledger-what">{p.recipe_name}, revision {p.revision}</span>
                  <span class="ledger-what">{p.candles.map((c) => c.code).join(', ')}</span>
                  <span class="ledger-end">{cureText(p.poured_at, p.cure_burn_at, now)}</span>
                </a>
              </li>
            ))}
          </ul>
        ) : <Empty action={<a class="button" href="/recipes">Choose a recipe</a>}><p>Nothing poured yet. A recipe's plan says which wicks to pour first.</p></Empty>}
      </Await>
    </Page>
  );
}

const cureText = (_poured: string, cure: string, now: number): string => {
  const left = Date.parse(cure) - now;
  return left > 0 ? `cures ${span(left)} more` : 'cured';
};

const ACTUAL: { key: string; label: string; kind: 'g' | 'C' | 'pct' }[] = [
  { key: 'wax_mass_g', label: 'Wax', kind: 'g' }, { key: 'fragrance_mass_g', label: 'Fragrance', kind: 'g' }, { key: 'dye_mass_g', label: 'Dye', kind: 'g' },
  { key: 'wax_peak_C', label: 'Wax heated to', kind: 'C' }, { key: 'add_temp_C', label: 'Fragrance stirred in at', kind: 'C' }, { key: 'pour_temp_C', label: 'Poured at', kind: 'C' },
  { key: 'vessel_temp_C', label: 'Container', kind: 'C' }, { key: 'room_temp_C', label: 'Room', kind: 'C' }, { key: 'humidity_pct', label: 'Humidity', kind: 'pct' },
];

export function PourPage({ id }: { id: string }) {
  const answer = useAnswer<Pour>(`/api/pours/${id}`);
  const now = useNow(60000);
  return (
    <Await answer={answer} page="Pour">
      {(p) => (
        <Page title={`Poured ${onDate(p.poured_at)}`} over={<><a href="/pours">Pours</a> · <a href={`/recipes/${p.recipe_id}`}>{p.recipe_name}</a></>} under={<p>Revision {p.revision}, {plural(p.candles.length, 'candle')}</p>}>
          <Cautions list={p.warnings} title="Noted" />
          <Section title="Codes" note="write them under the jars now">
            <ul class="code-list">{p.candles.map((c) => <CodeItem key={c.id} candle={c} />)}</ul>
          </Section>
          <Section title="Cure">
            <Cure pour={p} now={now} />
            <p class="actions"><a class="button" href={`/light?recipe=${p.recipe_id}`}>Light candles</a></p>
          </Section>
          <Section title="Went in">
            <dl class="described">
              {ACTUAL.filter((a) => p.actual[a.key] !== null && p.actual[a.key] !== undefined).map((a) => <div key={a.key}><dt><Worded>{a.label}</Worded></dt><dd>{show(p.actual[a.key], a.kind)}</dd></div>)}
              {p.load_of_wax_pct !== null && <div><dt><Worded>Load as weighed</Worded></dt><dd>{show(p.load_of_wax_pct, 'pct', 2)} of the wax</dd></div>}
              <div><dt>Lots</dt><dd>{p.lots.length ? p.lots.map((l) => `${l.material_name} ${l.code}`).join(', ') : 'none written down'}</dd></div>
              {p.note && <div><dt>Note</dt><dd>{p.note}</dd></div>}
            </dl>
          </Section>
          <Section title="Planned"><SheetTable sheet={p.planned} /></Section>
        </Page>
      )}
    </Await>
  );
}

function CodeItem({ candle: c }: { candle: Candle }) {
  return (
    <li>
      <span class="code huge">{c.code}</span>
      <span>{sizeWord(c.size_name)}{c.wick_count > 1 ? ` × ${c.wick_count}` : ''}</span>
      <span class="quiet">{c.state}{c.sessions ? `, ${soFar(c, 'left')}` : ''}</span>
    </li>
  );
}

function Cure({ pour, now }: { pour: Pour; now: number }) {
  const from = Date.parse(pour.poured_at);
  const burn = Date.parse(pour.cure_burn_at);
  const scent = pour.cure_scent_at ? Date.parse(pour.cure_scent_at) : burn;
  const to = Math.max(burn, scent, from + 864e5);
  const ticks = [{ x: burn, label: 'burn', strong: true, done: now >= burn }, ...(scent > burn ? [{ x: scent, label: 'scent', strong: true, done: now >= scent }] : [])];
  return (
    <>
      <p class="story">{now < burn ? <>Burn test from <strong>{atTime(pour.cure_burn_at, now)}</strong>, in {span(burn - now)}.</> : <>Cured for the burn test since {atTime(pour.cure_burn_at, now)}.</>}</p>
      <Tape from={from} to={to} at={Math.min(now, to)} ticks={ticks} label={`Poured ${onDate(from)}, burn test from ${onDate(burn)}, scent from ${onDate(scent)}`} />
      {scent > burn && <p class="quiet">Judge the scent from {atTime(scent, now)}.</p>}
    </>
  );
}
