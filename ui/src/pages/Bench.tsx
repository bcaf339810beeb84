// A burn session: the minute, what is due, every lit candle, readings by thumb, putting out.
import { useEffect, useMemo, useState } from 'preact/hooks';
import { benchReadings, burning, doneSince, dueNow, unread, useOutbox, useTyped, withEndings, type BenchReading } from '../lib/bench';
import { useNow } from '../lib/clock';
import { roundAt } from '../lib/kinds';
import { useAnswer } from '../lib/live';
import type { Photo } from '../lib/photo';
import type { ReadingKind, Session, SessionCandle } from '../lib/types';
import { atTime, minutes, plural } from '../lib/when';
import { BenchPad, type PadJob } from '../parts/BenchPad';
import { CandleCard } from '../parts/CandleCard';
import { Cautions, NeverUnattended } from '../parts/Caution';
import { SoundSwitch } from '../parts/DueWatch';
import { EndForm, outNow, toWeigh, WeighForm } from '../parts/EndForm';
import { Await, Page, Section } from '../parts/Page';
import { PhotoStrip, waitingPhotos } from '../parts/PhotoStrip';
import { ReadingTable } from '../parts/ReadingTable';
import { useStops } from '../lib/stops';
import { Tape } from '../parts/Tape';
import { StopNow } from '../parts/Verdict';

export function Bench({ id }: { id: string }) {
  const known = useAnswer<Session>(`/api/sessions/${id}`, 10000);
  const mine = useOutbox().find((i) => i.id === id)?.lit; // lit here, and the door has not taken it yet
  const session = known.data || !mine ? known : { ...known, data: mine, old_at: null };
  const kinds = useAnswer<{ kinds: ReadingKind[] }>('/api/reading-kinds');
  return (
    <Await answer={session} page="Burn session" what="Opening the session">
      {(s) => <Await answer={kinds} page="Burn session">{(k) => <BenchOf session={s} kinds={k.kinds} />}</Await>}
    </Await>
  );
}

function BenchOf({ session: known, kinds }: { session: Session; kinds: ReadingKind[] }) {
  const { items, sent } = useTyped();
  const session = useMemo(() => withEndings(known, [...sent, ...items]), [known, items, sent]);
  const readings = useMemo(() => benchReadings(session, kinds, items, sent), [session, kinds, items, sent]);
  const [job, setJob] = useState<PadJob | null>(null);
  const [ending, setEnding] = useState<string | null>(null);
  const stops = useStops(session);
  useEffect(() => {
    if (!stops.length) return;
    setJob(null);
    window.scrollTo(0, 0);
  }, [stops.length]);
  const open = session.open && burning(session).length > 0;
  const minute = useMinute(session);
  const over = minute >= session.planned_h * 60;
  const round = dueNow(session, minute);
  const all = burning(session).flatMap((c) => roundAt(kinds, session, round).map((kind) => ({ candle: c.candle_id, kind })));
  const left = all.filter((a) => !doneSince(readings, a.candle, round ?? 0).has(a.kind));
  const startRound = () => {
    setEnding(null);
    setJob({ asks: left.length ? left : all, at: 0, correcting: null });
  };
  const stopped = (code: string | null) => {
    setJob(null);
    void outNow(session, burning(session).filter((c) => code === null || c.code === code));
  };
  return (
    <Page title={open ? 'Burning' : 'Burn session'} class={job ? 'bench with-pad' : 'bench'}
      over={<><a href="/">Today</a> · {[...new Set(session.candles.map((c) => c.recipe_name))].join(', ')}</>}>
      <StopNow findings={open ? stops : []} onOut={stopped} />
      <BenchHead session={session} minute={minute} open={open} late={round === null ? [] : unread(session, readings, round)} due={round} />
      {open && !ending && (
        <p class="actions bench-main">
          <button type="button" class="button main big" onClick={startRound}>{round && left.length ? `Take the ${minutes(round)} readings` : 'Take readings'}</button>
          <button type="button" class={over ? 'button main big' : 'button'} onClick={() => { setJob(null); setEnding('all'); }}>Put out…</button>
        </p>
      )}
      {ending && <EndForm session={session} only={ending} onDone={() => setEnding(null)} />}
      {!ending && toWeigh(session).length > 0 && <WeighForm session={session} />}
      {job && <BenchPad session={session} kinds={kinds} readings={readings} job={job} minute={minute} onJob={setJob} />}
      <NeverUnattended count={open ? burning(session).length : 0} />
      <div class="candle-cards">
        {session.candles.map((c) => (
          <CandleCard key={c.candle_id} session={session} candle={c} kinds={kinds} readings={readings} due={round} open={open && !c.ended_at}
            onRead={(kind) => setJob({ asks: [{ candle: c.candle_id, kind }], at: 0, correcting: null })} />
        ))}
      </div>
      <Cautions list={session.warnings} title="Noted" />
      <Section title="Readings" note={plural(readings.filter((r) => !r.corrected && r.state !== 'refused').length, 'reading')}>
        <ReadingTable readings={readings} onCorrect={(r: BenchReading) => setJob({ asks: [{ candle: r.candle_id, kind: r.kind }], at: 0, correcting: r })} />
      </Section>
      <Photos session={session} readings={readings} />
      {open && <SoundSwitch />}
      {open && <Cautions list={session.cautions} title="While they burn" folded />}
    </Page>
  );
}

function Photos({ session, readings }: { session: Session; readings: BenchReading[] }) {
  const answer = useAnswer<{ photos: Photo[] }>(`/api/photos?session=${session.id}`);
  const items = useOutbox();
  const text = (id: string) => {
    const r = readings.find((x) => x.id === id);
    return r ? `${r.label} ${r.shown}` : '';
  };
  const code = (candle: string) => session.candles.find((c) => c.candle_id === candle)?.code ?? '';
  const photos = answer.data?.photos ?? [];
  const waiting = waitingPhotos(items, session, code, text).filter((w) => !photos.some((p) => p.id === w.id));
  if (!photos.length && !waiting.length) return null;
  return (
    <Section title="Photos" note={plural(photos.length + waiting.length, 'photo')}>
      <PhotoStrip photos={photos} waiting={waiting} text={text} span={session.planned_h * 60} label="Photos of this session" />
    </Section>
  );
}

function useMinute(session: Session): number {
  const now = useNow(1000);
  const end = session.ended_at ? Date.parse(session.ended_at) : now;
  return Math.max(0, (end - Date.parse(session.lit_at)) / 60000);
}

interface HeadProps {
  session: Session; minute: number; open: boolean;
  /** Candles with no reading of the due minute yet, and that minute. */
  late: SessionCandle[]; due: number | null;
}

function BenchHead({ session, minute, open, late, due }: HeadProps) {
  const now = useNow(1000);
  const planned = session.planned_h * 60;
  const end = Math.max(planned, minute, ...session.due_minutes.filter((m) => m <= planned));
  const ticks = session.due_minutes.filter((m) => m <= end).map((m) => ({ x: m, label: m >= 60 ? `${m / 60} h` : `${m}`, done: m <= minute }));
  const next = session.due_minutes.find((m) => m > minute);
  return (
    <div class="bench-head">
      <p class="bench-minute">
        <span class="bench-number">{minutes(minute)}</span>
        <span class="quiet">{open ? `lit since ${atTime(session.lit_at, now)}` : `lit ${atTime(session.lit_at, now)}, out ${session.ended_at ? atTime(session.ended_at, now) : ''}`}</span>
      </p>
      <Tape from={0} to={end} at={minute} ticks={ticks} label={`Readings are due at ${session.due_minutes.map(minutes).join(', ')}`} />
      {open && due !== null && late.length > 0 && (
        <p class="bench-next now">
          <strong>Readings due: {late.map((c) => c.code).join(', ')}.</strong> Asked for at {minutes(due)}, {atTime(Date.parse(session.lit_at) + due * 60000, now)}
          {minute - due >= 1 ? `; ${minutes(minute - due)} late.` : '.'}
        </p>
      )}
      <p class="bench-next">
        {open && (minute >= planned
          ? <strong>The planned {minutes(planned)} are over: time to put out.</strong>
          : next !== undefined ? <>Next readings at <strong>{minutes(next)}</strong>, in {minutes(next - minute)}.</> : 'No more readings are due; others are welcome.')}
        {!open && session.rest_until && <>Let them rest until <strong>{atTime(session.rest_until, now)}</strong>: the wax must be cold and set through before the next session.</>}
      </p>
    </div>
  );
}
