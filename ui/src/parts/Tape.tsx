// The measuring tape: one ruled strip for every stretch of time. Ticks stand where something
// happens, the marker where we are now.

export interface Tick { x: number; label?: string; strong?: boolean; done?: boolean }
export interface Stretch { from: number; to: number; label?: string }

interface TapeProps { from: number; to: number; at?: number | null; ticks?: Tick[]; stretches?: Stretch[]; label: string }

export function Tape({ from, to, at, ticks = [], stretches = [], label }: TapeProps) {
  const place = (x: number) => `${Math.min(100, Math.max(0, (100 * (x - from)) / (to - from || 1))).toFixed(2)}%`;
  const edge = (x: number) => { const f = (x - from) / (to - from || 1); return f > 0.94 ? ' at-end' : f < 0.04 ? ' at-start' : ''; };
  const size = (a: number, b: number) => `${Math.max(0.3, (100 * (b - a)) / (to - from || 1)).toFixed(2)}%`;
  return (
    <div class="tape" role="img" aria-label={label}>
      <div class="tape-strip">
        {stretches.map((s, i) => (
          <span key={i} class="tape-stretch" style={{ left: place(s.from), width: size(s.from, s.to) }}>{s.label && <b>{s.label}</b>}</span>
        ))}
        {ticks.map((t, i) => (
          <span key={i} class={`tape-tick${t.strong ? ' strong' : ''}${t.done ? ' done' : ''}${edge(t.x)}`} style={{ left: place(t.x) }}>
            {t.label && <b>{t.label}</b>}
          </span>
        ))}
        {at !== undefined && at !== null && <span class="tape-at" style={{ left: place(at) }} />}
      </div>
    </div>
  );
}
