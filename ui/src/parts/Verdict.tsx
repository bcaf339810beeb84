// A verdict with its numbered reasons, the readings behind each, what is missing, and the next move.
import { useEffect, useRef, useState } from 'preact/hooks';
import type { Finding, Reading, Verdict } from '../lib/types';
import { focusAfter } from '../lib/focus';
import { readingValue } from '../lib/reading';
import { showIn } from '../lib/units';
import { minutes } from '../lib/when';
import { said } from '../lib/said';
import { Worded } from './Term';

const WEIGHT: Record<Finding['weight'], string> = { stop: 'stop now', against: 'against', warn: 'watch', note: 'noted' };
const ORDER: Finding['weight'][] = ['stop', 'against', 'warn', 'note'];

export function VerdictView({ verdict, readings = [] }: { verdict: Verdict; readings?: Reading[] }) {
  const found = [...verdict.findings].sort((a, b) => ORDER.indexOf(a.weight) - ORDER.indexOf(b.weight));
  return (
    <div class="verdict">
      <p class={`verdict-word v-${verdict.kind}`}><Worded>{verdict.kind_text}</Worded></p>
      {verdict.next_move && <p class="verdict-move"><strong>Next move.</strong> <Worded>{said(verdict.next_move)}</Worded></p>}
      {verdict.missing.length > 0 && (
        <div class="verdict-missing">
          <h3>{verdict.kind === 'not_yet_known' ? 'Still missing before it can be said' : 'Still missing'}</h3>
          <ul>{verdict.missing.map((m) => <li key={m}><Worded>{said(m)}</Worded></li>)}</ul>
        </div>
      )}
      {found.length > 0 && (
        <>
          <h3>Reasons</h3>
          <ol class="findings">{found.map((f, i) => <FindingRow key={`${f.requirement}${f.candle}${f.session}${i}`} finding={f} readings={readings} />)}</ol>
        </>
      )}
      <Proof verdict={verdict} />
    </div>
  );
}

export function Proof({ verdict }: { verdict: Verdict }) {
  if (!verdict.proof) return null;
  return <p class="proof"><Worded>{said(verdict.proof)}</Worded></p>;
}

function FindingRow({ finding, readings }: { finding: Finding; readings: Reading[] }) {
  const [open, setOpen] = useState(false);
  const behind = readings.filter((r) => finding.readings.includes(r.id));
  const where = [finding.candle && `candle ${finding.candle}`, finding.session && `session ${finding.session}`].filter(Boolean).join(', ');
  return (
    <li class={`finding w-${finding.weight}`}>
      <span class="finding-number">{finding.requirement}</span>
      <div>
        <p class="finding-text"><span class="finding-weight">{WEIGHT[finding.weight]}</span> <Worded>{said(finding.text)}</Worded></p>
        <p class="quiet">
          {where}
          {finding.value !== null && finding.limit !== null && finding.unit && `${where ? ' · ' : ''}${showIn(finding.value, finding.unit)} against ${showIn(finding.limit, finding.unit)}`}
          {' '}
          <button type="button" class="link" aria-expanded={open} onClick={() => setOpen(!open)}>
            {finding.readings.length ? `rule and ${finding.readings.length === 1 ? 'reading' : `${finding.readings.length} readings`}` : 'rule'}
            <span class="unseen"> behind {finding.requirement}</span>
          </button>
        </p>
        {open && (
          <div class="finding-behind">
            <p>{finding.requirement}: <Worded>{said(finding.rule)}</Worded></p>
            {behind.length > 0 && (
              <ul>{behind.map((r) => <li key={r.id}>{r.code}: {r.label} {readingValue(r.value, r.unit, r.kind)}, {minutes(r.minute)} after lighting</li>)}</ul>
            )}
            {finding.readings.length > behind.length && <p>{finding.readings.length - behind.length} more on other pages.</p>}
          </div>
        )}
      </div>
    </li>
  );
}

/** The hazard layer: big, first, and with the one thing to do. */
export function StopNow({ findings, onOut }: { findings: Finding[]; onOut?: (code: string | null) => void }) {
  const word = useRef<HTMLParagraphElement>(null);
  const on = Boolean(onOut) && findings.length > 0;
  useEffect(() => {
    if (!on) return;
    word.current?.focus(); // what to do is the next stop
    return () => focusAfter(null);
  }, [on]);
  if (!findings.length) return null;
  const codes = [...new Set(findings.map((f) => f.candle).filter((c): c is string => Boolean(c)))];
  return (
    <div class="stop" role="alert">
      <p class="stop-word" tabIndex={-1} ref={word}>Put it out now</p>
      <ul>{findings.map((f, i) => <li key={i}>{f.candle && !f.text.startsWith(f.candle) && <strong>{f.candle}: </strong>}{said(f.text)} <span class="stop-rule">{f.requirement}</span></li>)}</ul>
      <p>Snuff it, do not blow. Never use water. Leave it where it is until the wax is solid and the container cold.</p>
      {onOut && (
        <p class="actions">
          {(codes.length ? codes : [null]).map((c) => (
            <button key={c ?? 'all'} type="button" class="button stop-button" onClick={() => onOut(c)}>{c ? `${c} is out` : 'It is out'}</button>
          ))}
        </p>
      )}
    </div>
  );
}

