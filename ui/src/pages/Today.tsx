// Today at the bench: what is lit and due, what may be lit, what rests or cures, what to pour.
import { useOutbox } from '../lib/bench';
import { soFar } from '../lib/candle';
import { useNow } from '../lib/clock';
import { litMinute, waitingSessions } from '../lib/due';
import { withTyped } from '../lib/lit';
import { useAnswer } from '../lib/live';
import { useStops } from '../lib/stops';
import type { Candle, RecipeLine, Session, Today as TodayT } from '../lib/types';
import { atTime, minutes, plural, sizeWord, span } from '../lib/when';
import { Cautions, NeverUnattended } from '../parts/Caution';
import { SoundSwitch } from '../parts/DueWatch';
import { Await, Page, Section } from '../parts/Page';
import { Tape } from '../parts/Tape';
import { StopNow } from '../parts/Verdict';
import { Worded } from '../parts/Term';

export function Today() {
  const answer = useAnswer<TodayT>('/api/today', 15000);
  return (
    <Page title="Today" class="today">
      <Await answer={answer}>{(t) => <TodayOf today={t} />}</Await>
    </Page>
  );
}

function TodayOf({ today: known }: { today: TodayT }) {
  const items = useOutbox();
  const now = useNow(20000);
  const today = withTyped(known, items, now);
  const lit = today.lit.reduce((n, s) => n + s.candles.filter((c) => !c.ended_at).length, 0);
  const nothing = !today.lit.length && !today.ready.length && !today.resting.length && !today.curing.length;
  const recipes = useAnswer<{ recipes: RecipeLine[] }>(nothing && !today.to_pour.length ? '/api/recipes' : null);
  if (nothing && !today.to_pour.length && recipes.data && !recipes.data.recipes.length) return <FirstSteps />;
  return (
    <>
      <NeverUnattended count={lit} />
      {today.lit.map((s) => <LitSession key={s.id} session={s} today={today} />)}
      {!lit && <p class="story">Nothing is lit.</p>}
      {today.ready.length > 0 && (
        <Section title="Ready to light" note={plural(today.ready.length, 'candle')}>
          <ByRecipe candles={today.ready} tell={(c) => soFar(c, 'left')} />
          <p class="actions"><a class="button main" href="/light">Light candles</a></p>
        </Section>
      )}
      {today.resting.length > 0 && (
        <Section title="Resting" note={plural(today.resting.length, 'candle')}>
          <ByRecipe candles={today.resting} tell={(c, now) => (c.ready_at ? `until ${atTime(c.ready_at, now)}` : 'resting')} />
        </Section>
      )}
      {today.curing.length > 0 && (
        <Section title="Curing" note={plural(today.curing.length, 'candle')}>
          <ByRecipe candles={today.curing} tell={(c) => `${span(c.cure_left_h * 36e5)} to go`} />
        </Section>
      )}
      {today.ready.length === 0 && today.resting.length + today.curing.length > 0 && (
        <p class="actions"><a class="button quiet-button" href="/light">Light one before its time</a></p>
      )}
      {today.to_pour.length > 0 && (
        <Section title="To pour">
          <ul class="ledger">
            {today.to_pour.map((r) => (
              <li key={r.id}><a class="ledger-row" href={`/recipes/${r.id}#plan`}><span class="ledger-name">{r.name}</span><span class="ledger-what">{r.container.name} · {r.series_name}</span></a></li>
            ))}
          </ul>
        </Section>
      )}
      {lit > 0 && <SoundSwitch />}
      {lit > 0 && <Cautions list={today.cautions} title="While they burn" folded />}
    </>
  );
}

function LitSession({ session, today }: { session: Session; today: TodayT }) {
  const now = useNow(1000);
  const minute = litMinute(session, now);
  const waits = waitingSessions(today, now).find((w) => w.session.id === session.id);
  const next = session.due_minutes.find((m) => m > minute);
  const end = Math.max(session.planned_h * 60, minute);
  const late = waits?.late_min ?? 0;
  const codes = waits?.codes ?? [];
  const stops = useStops(session);
  if (stops.length) {
    return (
      <section class="lit" aria-label="Stop now">
        <StopNow findings={stops} />
        <p class="actions"><a class="button main big" href={`/sessions/${session.id}`}>To the candles</a></p>
      </section>
    );
  }
  return (
    <section class="lit" aria-label={`Lit since ${atTime(session.lit_at, now)}`}>
      <p class="lit-minute">{minutes(minute)}</p>
      <div class="lit-what">
        <p>{session.candles.filter((c) => !c.ended_at).map((c) => <span key={c.code} class="code">{c.code}</span>)}</p>
        <p class="quiet">{[...new Set(session.candles.map((c) => c.recipe_name))].join(', ')} · lit since {atTime(session.lit_at, now)}</p>
      </div>
      <Tape from={0} to={end} at={minute} ticks={session.due_minutes.filter((m) => m <= end).map((m) => ({ x: m, label: m >= 60 ? `${m / 60} h` : `${m}`, done: m <= minute }))}
        label={`Lit for ${minutes(minute)} of ${minutes(session.planned_h * 60)}`} />
      <p class={codes.length ? 'lit-due now' : 'lit-due'}>
        {codes.length
          ? <><strong>Readings due: {codes.join(', ')}.</strong> {late >= 1 ? `${minutes(late)} late.` : ''}</>
          : minute >= session.planned_h * 60 ? <strong>The planned time is over: put out.</strong>
          : next !== undefined ? `Next readings at ${minutes(next)}, in ${minutes(next - minute)}.` : 'No more readings due.'}
      </p>
      <p class="actions"><a class="button main" href={`/sessions/${session.id}`}>{codes.length ? 'Take them now' : 'Open the session'}</a></p>
    </section>
  );
}

function ByRecipe({ candles, tell }: { candles: Candle[]; tell: (c: Candle, now: number) => string }) {
  const now = useNow(60000);
  const recipes = [...new Map(candles.map((c) => [c.recipe_id, c.recipe_name]))];
  return (
    <>
      {recipes.map(([id, name]) => (
        <div key={id} class="by-recipe">
          <h3><a href={`/recipes/${id}`}>{name}</a></h3>
          <ul class="codes">
            {candles.filter((c) => c.recipe_id === id).map((c) => (
              <li key={c.id}><span class="code">{c.code}</span> <span>{sizeWord(c.size_name)}</span> <span class="quiet">{tell(c, now)}</span></li>
            ))}
          </ul>
        </div>
      ))}
    </>
  );
}

/** An empty workshop: the way to a first forecast. */
function FirstSteps() {
  const steps = [
    { href: '/shelf/containers/new?back=/recipes/new', title: 'Measure a jar', text: 'Inside diameter, height, wall. A tape or callipers, five minutes.' },
    { href: '/shelf/series/new?back=/recipes/new', title: 'Describe a wick series', text: 'Its construction, and how much a metre of each size weighs.' },
    { href: '/recipes/new', title: 'Write the recipe', text: 'Wax, scent and its load, per cent of what. Then see every wick size burn before you pour one.' },
  ];
  return (
    <div class="first">
      <p class="story">The workshop is empty. Three things, and the first jar burns on paper:</p>
      <ol class="steps">
        {steps.map((s) => <li key={s.href}><a href={s.href}><strong>{s.title}</strong></a><span><Worded>{s.text}</Worded></span></li>)}
      </ol>
      <p class="quiet">Waxes, fragrances and glass to start from are in the tables already, each number with its origin. Put your own in their place as you measure them.</p>
    </div>
  );
}
