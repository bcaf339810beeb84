// The shelf: everything a candle is made of, by kind. What the tables bring and what the workshop added.
import { useAnswer } from '../lib/live';
import { go, usePlace } from '../lib/router';
import { said } from '../lib/said';
import type { Container, Lot, Material, MaterialKind, Series } from '../lib/types';
import { num, show } from '../lib/units';
import { onDate, plural } from '../lib/when';
import { Worded } from '../parts/Term';
import { Await, Empty, Page } from '../parts/Page';
import { PropValue } from '../parts/Origin';

const TABS: { key: string; label: string; add: string; addHref: string }[] = [
  { key: 'containers', label: 'Containers', add: 'Measure a container', addHref: '/shelf/containers/new' },
  { key: 'series', label: 'Wick series', add: 'Describe a series', addHref: '/shelf/series/new' },
  { key: 'wax', label: 'Waxes', add: 'Add a wax', addHref: '/shelf/materials/new?kind=wax' },
  { key: 'fragrance', label: 'Fragrances', add: 'Add a fragrance', addHref: '/shelf/materials/new?kind=fragrance' },
  { key: 'dye', label: 'Dyes', add: 'Add a dye', addHref: '/shelf/materials/new?kind=dye' },
  { key: 'additive', label: 'Additives', add: 'Add an additive', addHref: '/shelf/materials/new?kind=additive' },
  { key: 'container', label: 'Glass and tin', add: 'Add a container material', addHref: '/shelf/materials/new?kind=container' },
  { key: 'wick', label: 'Wick constructions', add: 'Add a construction', addHref: '/shelf/materials/new?kind=wick' },
  { key: 'lots', label: 'Lots', add: 'Write down a lot', addHref: '/shelf/lots/new' },
];

/** Which table of comma-separated values a tab belongs to; the others are materials. */
const TABLE_OF: Record<string, string> = { containers: 'containers', series: 'series', lots: 'lots' };

/** The figures worth seeing in a list, per kind. */
const HEADLINE: Record<MaterialKind, string[]> = {
  wax: ['solidus', 'liquidus', 'rho_solid', 'max_load'], fragrance: ['density', 'flash', 'feed_factor'], dye: ['typical_share', 'max_share', 'feed_factor'],
  additive: ['typical_share', 'density'], container: ['conductivity', 'density', 'strength'], wick: ['porosity', 'feed_factor', 'trim'],
};

export function Shelf() {
  const tab = usePlace().query.get('of') ?? 'containers';
  const now = TABS.find((t) => t.key === tab) ?? TABS[0]!;
  return (
    <Page title="Shelf" class="shelf">
      <nav class="tabs" aria-label="Parts of the shelf">
        {TABS.map((t) => <a key={t.key} href={`/shelf?of=${t.key}`} aria-current={t === now ? 'page' : undefined} onClick={(e) => { e.preventDefault(); go(`/shelf?of=${t.key}`, true); }}>{t.label}</a>)}
      </nav>
      <p class="actions"><a class="button" href={now.addHref}>{now.add}</a> <a class="button quiet-button" href={`/shelf/tables?of=${TABLE_OF[now.key] ?? 'materials'}`}>Tables in and out</a></p>
      {now.key === 'containers' ? <Containers /> : now.key === 'series' ? <SeriesList /> : now.key === 'lots' ? <Lots /> : <Materials key={now.key} kind={now.key as MaterialKind} />}
    </Page>
  );
}

function Containers() {
  const answer = useAnswer<{ containers: Container[] }>('/api/containers');
  return (
    <Await answer={answer}>
      {({ containers }) => containers.length ? (
        <ul class="ledger">
          {containers.map((c) => (
            <li key={c.id}>
              <a class="ledger-row" href={`/shelf/containers/${c.id}`}>
                <span class="ledger-name">{c.name}</span>
                <span class="ledger-what">{c.material.name} · {num(Math.max(...c.profile.map((p) => p.inner_diameter_mm)), 'mm')} × {show(c.height_mm, 'mm')} inside</span>
                <span class="ledger-end">{show(c.brim_ml, 'ml')}{c.water?.mismatch && <span class="tag warn">tape and water differ</span>}</span>
              </a>
            </li>
          ))}
        </ul>
      ) : <Empty><p>No container yet. Measure the inside of one: it takes five minutes.</p></Empty>}
    </Await>
  );
}

function SeriesList() {
  const answer = useAnswer<{ series: Series[] }>('/api/series');
  return (
    <Await answer={answer}>
      {({ series }) => series.length ? (
        <ul class="ledger">
          {series.map((s) => (
            <li key={s.id}>
              <a class="ledger-row" href={`/shelf/series/${s.id}`}>
                <span class="ledger-name">{s.name}</span>
                <span class="ledger-what">{s.construction.name} · {plural(s.sizes.length, 'size')}</span>
                <span class="ledger-end">{num(s.sizes[0]?.linear_density_g_m, 'g_m')} to {show(s.sizes[s.sizes.length - 1]?.linear_density_g_m, 'g_m')}</span>
              </a>
            </li>
          ))}
        </ul>
      ) : <Empty><p>No wick series yet. Weigh a metre of each size you own.</p></Empty>}
    </Await>
  );
}

function Materials({ kind }: { kind: MaterialKind }) {
  const answer = useAnswer<{ materials: Material[] }>(`/api/materials?kind=${kind}`);
  return (
    <Await answer={answer}>
      {({ materials }) => (
        <>
          <p class="quiet">Tap a number to see how it is known and from where.</p>
          <ul class="ledger materials">
            {[...materials].sort((a, b) => Number(a.builtin) - Number(b.builtin)).map((m) => (
              <li key={m.id} class="material-row">
                <a class="ledger-name" href={`/shelf/materials/${m.id}`}>{m.name}</a>
                <span class="quiet">{m.builtin ? 'from the tables' : 'this workshop'}</span>
                <dl class="inline-props">
                  {HEADLINE[kind].map((key) => m.props[key] && <div key={key}><dt><Worded>{said(m.props[key].label)}</Worded></dt><dd><PropValue prop={m.props[key]} /></dd></div>)}
                </dl>
              </li>
            ))}
          </ul>
        </>
      )}
    </Await>
  );
}

function Lots() {
  const answer = useAnswer<{ lots: Lot[] }>('/api/lots');
  return (
    <Await answer={answer}>
      {({ lots }) => lots.length ? (
        <div class="scroll" tabIndex={0} role="region" aria-label="Lots, table">
          <table>
            <thead><tr><th scope="col">lot</th><th scope="col">of</th><th scope="col">received</th><th scope="col">quantity</th><th scope="col">note</th></tr></thead>
            <tbody>{lots.map((l) => <tr key={l.id}><th scope="row">{l.code}</th><td>{l.material_name}</td><td>{l.received ? onDate(l.received) : '–'}</td><td>{show(l.quantity_g, 'g')}</td><td>{l.note}</td></tr>)}</tbody>
          </table>
        </div>
      ) : <Empty><p>No lot written down yet. The same wax from another delivery can burn differently; lots let you find out.</p></Empty>}
    </Await>
  );
}
