// Start of the pages: settings, outbox, routes.
import '@fontsource-variable/atkinson-hyperlegible-next/wght.css';
import './css/base.css';
import './css/page.css';
import './css/form.css';
import './css/bench.css';
import './css/forecast.css';
import './css/extra.css';
import './css/terms.css';
import './css/print.css';
import { render } from 'preact';
import { useEffect } from 'preact/hooks';
import { readyOnTouch } from './lib/alarm';
import { Refused } from './lib/api';
import { keepFocus, keepInSight } from './lib/focus';
import { keepPages } from './lib/kept';
import { onStop, startOutbox } from './lib/outbox';
import { forgetOld, useAnswer } from './lib/live';
import { listenForChanges } from './lib/news';
import { beyondBench, benchOnly, setMay } from './lib/may';
import { match, takeLinks, usePlace } from './lib/router';
import { stopsOf } from './lib/stops';
import type { Meta, Setting } from './lib/types';
import { getSystem, setSystem } from './lib/units';
import { Bench } from './pages/Bench';
import { ContainerNew } from './pages/ContainerNew';
import { Light } from './pages/Light';
import { LotNew, MaterialNew, MaterialPage } from './pages/Materials';
import { Pair } from './pages/Pair';
import { PourNew } from './pages/PourNew';
import { PourPage, Pours } from './pages/Pours';
import { Proof } from './pages/Proof';
import { Recipe } from './pages/Recipe';
import { RecipeNew, RecipeRevise } from './pages/RecipeForm';
import { Recipes } from './pages/Recipes';
import { SeriesNew } from './pages/SeriesNew';
import { Settings } from './pages/Settings';
import { Shelf } from './pages/Shelf';
import { ContainerPage, SeriesPage } from './pages/Things';
import { Tables } from './pages/Tables';
import { Today } from './pages/Today';
import { Empty, Loading, Page } from './parts/Page';
import { Shell } from './parts/Shell';

type Args = Record<string, string>;
const ROUTES: [string, (a: Args) => preact.JSX.Element][] = [
  ['/', () => <Today />],
  ['/recipes', () => <Recipes />],
  ['/recipes/new', () => <RecipeNew />],
  ['/recipes/:id', (a) => <Recipe id={a.id!} />],
  ['/recipes/:id/revise', (a) => <RecipeRevise id={a.id!} />],
  ['/recipes/:id/proof', (a) => <Proof id={a.id!} />],
  ['/light', () => <Light />],
  ['/sessions/:id', (a) => <Bench id={a.id!} />],
  ['/pours', () => <Pours />],
  ['/pours/new', () => <PourNew />],
  ['/pours/:id', (a) => <PourPage id={a.id!} />],
  ['/shelf', () => <Shelf />],
  ['/shelf/containers/new', () => <ContainerNew />],
  ['/shelf/containers/:id', (a) => <ContainerPage id={a.id!} />],
  ['/shelf/series/new', () => <SeriesNew />],
  ['/shelf/series/:id', (a) => <SeriesPage id={a.id!} />],
  ['/shelf/materials/new', () => <MaterialNew />],
  ['/shelf/materials/:id', (a) => <MaterialPage id={a.id!} />],
  ['/shelf/lots/new', () => <LotNew />],
  ['/shelf/tables', () => <Tables />],
  ['/settings', () => <Settings />],
  ['/pair', () => <Pair />],
];

function pageAt(path: string): preact.JSX.Element {
  if (benchOnly() && beyondBench(path)) {
    return <Page title="Not from this device"><Empty action={<a class="button" href="/">To today</a>}><p>This device is let in for the bench: it sees everything, lights, reads, weighs and puts out. Describing, pouring and deciding are done at the workshop’s computer, or on a device let in for everything.</p></Empty></Page>;
  }
  for (const [pattern, page] of ROUTES) {
    const args = match(pattern, path);
    if (args) return page(args);
  }
  return <Page title="Nothing here"><Empty action={<a class="button" href="/">To today</a>}><p>There is no page at {path}.</p></Empty></Page>;
}

function App() {
  const { path } = usePlace();
  const settings = useAnswer<{ settings: Setting[] }>('/api/settings');
  const meta = useAnswer<Meta>('/api/meta', 60000);
  setMay(meta.data?.door?.who);
  const units = settings.data?.settings.find((s) => s.key === 'units')?.value === 'us' ? 'us' : 'metric';
  if (units !== getSystem()) setSystem(units);
  useEffect(() => {
    if (location.hash) setTimeout(() => document.getElementById(location.hash.slice(1))?.scrollIntoView(), 400);
  }, [path]);
  // no page before the units are known: a number must not change its unit under the eye
  if (!settings.data && !settings.error) return <Shell path={path} open={false}><main id="main" class="page"><h1 class="unseen">Evenpool</h1><Loading what="Opening the workshop" /></main></Shell>;
  // a device not let in, or shut out: nothing else would open
  if (settings.error instanceof Refused && settings.error.field === 'device' && path !== '/pair') return <Shell path={path} open={false}><div class="stage"><Pair /></div></Shell>;
  return <Shell path={path} open><div key={`${path} ${units}`} class="stage">{pageAt(path)}</div></Shell>;
}

takeLinks();
readyOnTouch();
keepFocus();
keepInSight();
onStop((findings, sessionId) => stopsOf.add(findings, sessionId));
void startOutbox();
void forgetOld();
keepPages();
listenForChanges();
const root = document.getElementById('root')!;
root.textContent = '';
render(<App />, root);
