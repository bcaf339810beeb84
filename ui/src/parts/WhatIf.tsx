// What if the jar were wider, the load higher, the wick a size up? Sliders on the recipe; beside the
// candle as it stands burns the one with the change, quickly while the finger moves, as finely as the
// forecast once it rests. What pleases becomes the next revision.
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { aboveAt, spotsForDoor, type Spot } from '../lib/above';
import { postJson } from '../lib/api';
import { useAsked, type Question } from '../lib/ask';
import { useForecast } from '../lib/forecast';
import { bare, Form, FormProblem, useForm } from '../lib/form';
import { changesOf, isTurned, knobsOf, lower, revisionOf, sayChange, sayKnob, upper, widened, type Knob, type Turned } from '../lib/knobs';
import { answersChanged, useAnswer } from '../lib/live';
import { firstFrame, momentOf } from '../lib/moment';
import { newId } from '../lib/ids';
import type { Burn, Container, Forecast, Recipe, Size } from '../lib/types';
import { said } from '../lib/said';
import { spotsOf, useEqualShares, type EqualShares } from '../lib/shares';
import { num, unitOf } from '../lib/units';
import { plural } from '../lib/when';
import { Field } from './Field';
import { FromAbove, SharesUnknown } from './FromAbove';
import { Jars, LIFE_ROWS, momentRows, MomentSlider, RowsTable, type Row, type Shown } from './Jars';
import { WaxLegend } from './JarCut';
import { Await } from './Page';
import { Slide } from './Slide';

const REST_MS = 350; // a finger that has not moved for this long rests
const LIFE = 64; // sessions: to the end of any jar
const EQUAL_AT_DOOR = ' '; // a list sent empty: the places by hand are taken away

/** Places by hand, in the jar as wide as it stands, or in equal shares though the recipe has others; null: as the recipe has them. */
type Own = Spot[] | 'equal' | null;

interface WhatIfProps { recipe: Recipe; sizes: Size[]; shown: string | null; known: boolean; onKept: (text: string) => void }

export function WhatIf({ recipe, sizes, shown, known, onKept }: WhatIfProps) {
  const container = useAnswer<Container>(`/api/containers/${recipe.revision.container.id}`);
  const forecast = useForecast(recipe.id, shown, recipe.revision.number, known);
  if (!shown) return <p class="quiet">Choose a wick size above first.</p>;
  return (
    <Await answer={container}>
      {(c) => <Await answer={forecast} what="Burning it as it stands">{(f) => <Turning key={shown} {...{ recipe, sizes, shown, onKept }} container={c} now={f} />}</Await>}
    </Await>
  );
}

interface TurningProps { recipe: Recipe; sizes: Size[]; shown: string; container: Container; now: Forecast; onKept: (text: string) => void }

function Turning({ recipe, sizes, shown, container, now, onKept }: TurningProps) {
  const knobs = useMemo(() => knobsOf(recipe, container, sizes, shown), [recipe, container, sizes, shown]);
  const [turned, setTurned] = useState<Turned>({});
  const [own, setOwn] = useState<Own>(null);
  const [moving, setMoving] = useState(false);
  const [at, setAt] = useState(() => firstFrame(now.cut.frames));
  const rest = useRef(0);
  const moments = useMemo(() => now.cut.frames.map(momentOf), [now]);
  const moment = moments[Math.min(at, moments.length - 1)]!;
  const stir = () => {
    setMoving(true);
    clearTimeout(rest.current);
    rest.current = window.setTimeout(() => setMoving(false), REST_MS);
  };
  const turn = (k: Knob, x: number) => {
    setTurned((t) => ({ ...t, [k.key]: x }));
    stir();
  };
  const place = (i: number, to: Spot) => {
    if (!layout.spots) return;
    setOwn(layout.spots.map((s, j) => (j === i ? to : s)).map((s) => ({ x: s.x / layout.k, y: s.y / layout.k })));
    stir();
  };
  const back = () => {
    setTurned({});
    setOwn(null);
  };
  useEffect(() => () => clearTimeout(rest.current), []);
  const size = sizeOf(recipe, container, knobs, turned);
  const equal = useEqualShares(container, size.asKept ? 0 : size.n, size.fill_mm, size.above, size.k !== 1);
  const layout = { ...size, ...layoutOf(size, equal, own) };
  const changes = { ...changesOf(knobs, turned, sizes), ...(layout.moved === 'hand' ? { places: layout.spots!.map((s) => `${s.x.toFixed(1)} mm: ${s.y.toFixed(1)} mm`).join(', ') } : {}), ...(layout.moved === 'equal' ? { places: EQUAL_AT_DOOR } : {}) };
  const any = Object.keys(changes).length > 0;
  const base = { path: `/api/recipes/${recipe.id}/what-if`, same: { wick: shown, revision: recipe.revision.number, sessions: LIFE, now: 'no', from: now.made_of.how } };
  const question: Question | null = !any ? null : {
    path: base.path, fine: !moving, query: { ...base.same, ...changes, detail: moving ? 'quick' : 'fine', frames: moving ? 'session' : 'all', ...(moving ? { shown: moment.session } : {}) },
  };
  const asked = useAsked(question);
  // quick is held against quick: the coarser grid must not pass for an effect of the change
  const [touched, setTouched] = useState(false);
  useEffect(() => { if (any) setTouched(true); }, [any]);
  const quick = useAsked(touched ? { path: base.path, fine: false, query: { ...base.same, detail: 'quick', frames: 'all' } } : null);
  const then: Burn | null = any ? (asked.answer?.then ?? null) : now;
  const stands: Burn = any && asked.answer && !asked.fine && quick.answer ? quick.answer.then : now;
  const list: Shown[] = [
    { key: 'now', name: 'Now', under: sayCandle(knobs.filter((k) => k.key !== 'wick_count' || k.stands > 1), {}), burn: stands },
    { key: 'if', name: 'If', under: any ? [sayCandle(knobs.filter((k) => isTurned(k, turned)), turned), layout.moved && MOVED[layout.moved]].filter(Boolean).join(', ') : 'nothing changed yet', burn: then ?? (asked.error ? null : now) },
  ];
  const difference = { head: 'change', of: (r: Row) => change(r, stands, any ? then : null) };
  const refused = any ? asked.error : null;
  return (
    <div class="what-if">
      <div class="wi-stage">
        <div class="wi-answer" aria-busy={asked.busy}>
          {refused
            ? <p class="field-problem wi-refused" role="alert">{bare(refused.message)}</p>
            : <Jars list={list} moment={moment} />}
          {!refused && <RowsTable of="What if" title="at this moment" rows={momentRows(moment)} list={list} last={difference} />}
          <p class="wi-state quiet" role="status">{any ? stateText(asked.busy, asked.fine) : 'Drag a slider: the right jar answers while you do.'}</p>
        </div>
        <div class="wi-turn">
          {knobs.map((k) => <Slide key={k.key} knob={k} turned={turned} onTurn={(x) => turn(k, x)} />)}
          {any && <p class="actions"><button type="button" class="button small quiet-button" onClick={back}>All as it stands</button></p>}
        </div>
        {layout.n > 1 && (
          <div class="wi-layout">
            <h3>Where the wicks stand</h3>
            <p class="field-help">From above, to scale, at the fill line. {layout.stand} Drag a wick, or choose it and use the arrow keys: {said('1 mm')} a step. Distances in{'\u00a0'}{unitOf('mm')}.</p>
            {!layout.spots && <SharesUnknown equal={equal} />}
            <FromAbove above={layout.above} spots={layout.spots ?? []} wall_mm={container.wall_mm} onMove={place} />
            <p class="actions"><button type="button" class="button small" disabled={layout.inShares} onClick={() => { setOwn('equal'); stir(); }}>Equal shares</button></p>
          </div>
        )}
        <div class="wi-time">
          <MomentSlider moments={moments} at={at} onAt={setAt} />
          <WaxLegend />
          <p class="quiet wi-says">Both jars are cut through the middle and drawn at one scale; the arrow at the wall marks its hottest place. Each is one simulated candle from the middle of what is known, without odds.</p>
        </div>
      </div>
      <div class="wi-life">
        {!refused && <RowsTable of="What if" title="over its life" rows={LIFE_ROWS} list={list} last={difference} />}
        {any && <Keep {...{ recipe, knobs, turned, changes, container, onKept }} moved={layout.moved} spots={layout.spots} />}
      </div>
    </div>
  );
}

/** The jar of the candle asked about, and whether places told of the recipe hold in it as they are. */
function sizeOf(recipe: Recipe, container: Container, knobs: Knob[], turned: Turned) {
  const r = recipe.revision;
  const wide = knobs.find((k) => k.key === 'inner_diameter')!;
  const k = (turned.inner_diameter ?? wide.stands) / wide.stands;
  const fill_mm = turned.fill_height ?? r.fill_height_mm;
  const at = aboveAt(container, fill_mm);
  const above = { ...at, long_mm: at.long_mm * k, across_mm: at.across_mm * k, corner_mm: at.corner_mm * k };
  const n = turned.wick_count ?? r.wick_count;
  const kept = n === r.wick_count && r.places?.length === n ? spotsOf(r.places) : null;
  const byHand = kept !== null && r.places_default === false;
  return { k, fill_mm, above, n, kept, byHand, asKept: kept !== null && !byHand && k === 1 && fill_mm === r.fill_height_mm };
}

type Moved = 'hand' | 'equal';
const MOVED: Record<Moved, string> = { hand: 'wicks moved', equal: 'wicks in equal shares' };

/** Where its wicks stand: moved here, as the recipe has them, or in equal shares. */
function layoutOf(size: ReturnType<typeof sizeOf>, equal: EqualShares, own: Own) {
  const { k, n, kept } = size;
  const wider = (spots: Spot[]): Spot[] => spots.map((s) => ({ x: s.x * k, y: s.y * k }));
  const hand = n > 1 && Array.isArray(own) && own.length === n ? own : null;
  const stays = size.byHand && own !== 'equal' ? kept : null;
  const moved: Moved | null = hand ? 'hand' : size.byHand && own === 'equal' ? 'equal' : null;
  const spots = hand ? wider(hand) : stays ? wider(stays) : size.asKept ? kept : equal.spots;
  const stand = hand ? 'Placed by hand.' : stays ? 'As the recipe has them.' : 'In equal shares of the wax.';
  return { moved, spots, stand, inShares: !hand && !stays };
}

const stateText = (busy: boolean, fine: boolean): string =>
  busy ? 'Burning it as finely as the forecast…' : fine ? 'As fine as the forecast.' : 'Quick answer on a coarser grid; let go and it is made finer.';

/** "80 mm wide, Flat 6": the places of some knobs in words. */
const sayCandle = (knobs: Knob[], t: Turned): string => knobs.map((k) => sayPart(k, t[k.key] ?? k.stands)).join(', ');

function sayPart(k: Knob, x: number): string {
  if (k.key === 'wick_count') return plural(x, 'wick');
  const more = { inner_diameter: ' wide', fill_height: ' high', load: ' load', size: '' }[k.key];
  return sayKnob(k, x) + more;
}

/** The difference of the numbers as they are shown: 85 to 75 is minus ten, whatever the digits behind. */
function change(r: Row, a: Burn, b: Burn | null): string {
  if (!b || r.text) return '';
  const [x, y] = [a, b].map((o) => num(r.of(o), r.kind, r.digits));
  if (x === '–' || y === '–') return '';
  const digits = Math.max(...[x!, y!].map((t) => (t.split('.')[1] ?? '').length));
  const d = Number(y!.replace('\u2212', '-')) - Number(x!.replace('\u2212', '-'));
  const text = Math.abs(d).toFixed(digits);
  return Number(text) === 0 ? 'same' : `${d > 0 ? '+' : '\u2212'}${text}`;
}

/** Keeping it: one thing changed is a test that tells something, several are not. */
interface KeepProps { recipe: Recipe; knobs: Knob[]; turned: Turned; changes: Record<string, string>; container: Container; moved: Moved | null; spots: Spot[] | null; onKept: (text: string) => void }

function Keep({ recipe, knobs, turned, changes, container, moved, spots, onKept }: KeepProps) {
  const list = knobs.filter((k) => isTurned(k, turned)).map((k) => sayChange(k, turned));
  if (moved) list.push(upper(MOVED[moved]));
  const wide = knobs.find((k) => k.key === 'inner_diameter')!;
  const wider = isTurned(wide, turned);
  const given = wider ? `${container.name}, ${sayKnob(wide, turned.inner_diameter!).replace(/\u00a0/g, ' ')} wide` : '';
  const next = recipe.revision.number + 1;
  const form = useForm(`what-if:${recipe.id}:${recipe.revision.number}`, { container_name: '' });
  const jar = useRef({ width: 0, id: '' });
  const send = () => void form.submit(async (id) => {
    const body = revisionOf(changes, turned, recipe.revision, wide.stands);
    if (moved) body.places = moved === 'hand' && spots ? spotsForDoor(spots) : null;
    if (wider) {
      // the same width twice is the same jar: a lost answer makes no second one
      if (jar.current.width !== turned.inner_diameter) jar.current = { width: turned.inner_diameter!, id: newId() };
      await postJson('/api/containers', { id: jar.current.id, name: form.values.container_name?.trim() || given, ...widened(container, turned.inner_diameter! / wide.stands) });
      body.container = jar.current.id;
    }
    const made = await postJson<Recipe>(`/api/recipes/${recipe.id}/revise`, { request_id: id, ...body });
    answersChanged();
    onKept(`Revision ${made.revision.number} is made: ${list.map(lower).join('; ')}.`);
  });
  return (
    <div class="wi-keep">
      <h3>Keep it</h3>
      <ul class="wi-changes">{list.map((t) => <li key={t}>{t}</li>)}</ul>
      {list.length > 1 && <p class="quiet">{list.length} things are changed at once: a test of this candle will not tell which of them did it. Change one, burn it, then the next.</p>}
      <Form form={form} onSend={send} label="Keep what was changed">
        {wider && (
          <>
            <p class="quiet">A revision needs a container that is on the shelf. This puts one there: the same profile, all widths in proportion, the same wall. It is drawn, not measured; measure the real one before you pour.</p>
            <Field name="container_name" label="Name of the new container" optional help={`“${given}” when empty`} />
          </>
        )}
        <FormProblem />
        <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Make this revision {next}</button></p>
      </Form>
    </div>
  );
}
