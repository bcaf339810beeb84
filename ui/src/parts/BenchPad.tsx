// Drives the keypad through a round: for each lit candle the readings of this due minute.
import { useEffect, useRef, useState } from 'preact/hooks';
import { lastOf, lastText, type BenchReading } from '../lib/bench';
import { serverNow } from '../lib/clock';
import { useFocusBack } from '../lib/focus';
import { bare } from '../lib/form';
import { newId } from '../lib/ids';
import { put } from '../lib/outbox';
import { say } from '../lib/say';
import type { ReadingKind, Session, SessionCandle } from '../lib/types';
import { show, type Kind } from '../lib/units';
import { sizeWord } from '../lib/when';
import { Pad } from './Pad';

export interface PadJob { asks: { candle: string; kind: string }[]; at: number; correcting: BenchReading | null }

interface BenchPadProps {
  session: Session; kinds: ReadingKind[]; readings: BenchReading[]; job: PadJob; minute: number; onJob: (job: PadJob | null) => void;
}

export function BenchPad({ session, kinds, readings, job, minute, onJob }: BenchPadProps) {
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  const [at, setAt] = useState('');
  const [failedId, setFailedId] = useState('');
  // what was written down in this round, by its place in it: going back corrects it
  const written = useRef(new Map<number, BenchReading>());
  useEffect(() => written.current.clear(), [job.asks]);
  useFocusBack();
  const ask = job.asks[job.at];
  useEffect(() => setProblem(''), [job.at, job.correcting?.id]);
  const candle = session.candles.find((c) => c.candle_id === ask?.candle);
  const kind = kinds.find((k) => k.key === ask?.kind);
  if (!ask || !candle || !kind) return null;

  const before = lastOf(readings, candle.candle_id, kind.key);
  const step = (to: number) => onJob(to >= job.asks.length || to < 0 ? null : { ...job, at: to, correcting: to < job.at ? (written.current.get(to) ?? null) : null });
  const save = async (value: string) => {
    setBusy(true);
    const body: Record<string, unknown> = { session: session.id, candle: candle.candle_id, kind: kind.key, value };
    const old = job.correcting;
    if (at.trim()) body.minute = Number(at);
    else if (old) body.minute = Math.round(old.minute * 100) / 100;
    else body.at = new Date(Math.max(serverNow(), Date.parse(session.lit_at))).toISOString();
    // one not yet sent may be on its way just now: it is corrected like one in the book, and sent before
    if (old && old.state !== 'refused') body.corrects = old.id;
    const id = newId(serverNow());
    const minuteNow = body.minute !== undefined ? Number(body.minute) : (serverNow() - Date.parse(session.lit_at)) / 60000;
    const outcome = await put({
      id, id_as: 'id', path: '/api/readings', body, session_id: session.id, typed_at: serverNow(), what: `${candle.code}: ${kind.label} ${value}`,
    }, [failedId, old?.id ?? '']);
    setBusy(false);
    if (outcome.kind === 'refused') {
      setFailedId(id);
      setProblem(outcome.mistakes.map((m) => bare(m.text)).join(' '));
      return;
    }
    setFailedId('');
    written.current.set(job.at, {
      id, candle_id: candle.candle_id, code: candle.code, kind: kind.key, label: kind.label, shown: value, minute: minuteNow, corrected: false,
      corrects: null, state: outcome.kind === 'sent' ? 'kept' : 'waiting', refused: '', typed: value,
      session_id: session.id, corrected_by: null, conflict: null,
    });
    say(`${candle.code}: ${kind.label} ${value} ${outcome.kind === 'sent' ? 'saved' : 'kept, not yet sent'}.`);
    step(job.at + 1);
  };

  return (
    <Pad
      ask={{
        code: candle.code, size: sizeWord(candle.size_name), kind, step: job.asks.length > 1 ? `${job.at + 1} of ${job.asks.length}` : '',
        last: lastText(before), same: before && !before.conflict ? before.typed : '', sameShown: before?.shown ?? '', expected: expectedText(candle, kind.key),
        typed: job.correcting?.typed ?? '', correcting: Boolean(job.correcting),
      }}
      problem={problem} busy={busy} minute={at} onMinute={setAt} minuteNow={minute.toFixed(0)} onSave={(v) => void save(v)}
      saved={written.current.get(job.at - 1)?.shown ?? ''} onSkip={() => step(job.at + 1)} onBack={() => step(job.at - 1)} onClose={() => onJob(null)}
    />
  );
}

const EXPECTED: Record<string, [keyof NonNullable<SessionCandle['expected']>, Kind]> = {
  pool_depth: ['depth_mid_mm', 'mm'], flame: ['flame_mm', 'mm'], wall_temp: ['wall_max_C', 'C'],
};

function expectedText(candle: SessionCandle, kind: string): string {
  const e = EXPECTED[kind];
  const value = e && candle.expected ? candle.expected[e[0]] : null;
  return e && value !== null ? `forecast ${show(value, e[1])}` : '';
}

