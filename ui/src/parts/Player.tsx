// Time over the whole life of the candle: play, scrub, and the numbers of the moment beside the cut jar.
import { useEffect, useMemo, useState } from 'preact/hooks';
import { firstFrame, momentOf, momentText, sampleAt, sessionsOf } from '../lib/moment';
import type { Forecast } from '../lib/types';
import { show } from '../lib/units';
import { minutes } from '../lib/when';
import { Figure, Figures } from './Figure';
import { cutNote, JarCut, WaxLegend } from './JarCut';
import { Tape } from './Tape';

const FRAME_MS = 110;

export function Player({ forecast, onSession }: { forecast: Forecast; onSession?: (session: number) => void }) {
  const { frames } = forecast.cut;
  const [index, setIndex] = useState(() => firstFrame(frames));
  const [playing, setPlaying] = useState(false);
  const i = Math.min(index, frames.length - 1);
  const frame = frames[i];

  useEffect(() => {
    if (!playing) return;
    const timer = setInterval(() => {
      setIndex((k) => (k + 1 < frames.length ? k + 1 : k));
    }, FRAME_MS);
    return () => clearInterval(timer);
  }, [playing, frames.length]);
  useEffect(() => { if (playing && i >= frames.length - 1) setPlaying(false); }, [playing, i, frames.length]);
  useEffect(() => { if (frame) onSession?.(frame.session); }, [frame?.session]);

  const stretches = useMemo(() => sessionsOf(frames.map(momentOf)), [frames]);
  if (!frame) return <p class="quiet">The forecast holds no frames.</p>;
  const play = () => {
    if (!playing && i >= frames.length - 1) setIndex(0);
    setPlaying(!playing);
  };
  const s = sampleAt(forecast.trace, frame);
  const t = forecast.trace;
  const moment = momentText(frame);
  const label = `Cut jar, ${moment}: level ${show(frame.level_mm, 'mm')}, pool reaches ${show(t.reach_pct[s], 'pct')} of the way to the wall, ${show(t.depth_mid_mm[s], 'mm')} deep half way, flame ${show(frame.flame_mm, 'mm')}.`;
  return (
    <div class="player">
      <div class="player-jar">
        <JarCut cut={forecast.cut} frame={frame} wallC={t.wall_max_C[s] ?? null} wallAt={t.wall_max_at_mm[s] ?? null} label={label} />
        <WaxLegend />
        {cutNote(forecast.cut) && <p class="legend">{cutNote(forecast.cut)}</p>}
      </div>
      <div class="player-side">
        <p class="player-moment"><strong>{frame.lit ? `Session ${frame.session}` : 'Resting'}</strong> {frame.lit ? `${minutes(frame.minute)} lit` : `after session ${frame.session}`}</p>
        <div class="player-time">
          <button type="button" class="button round" onClick={play} aria-label={playing ? 'Pause' : 'Play the whole life'}>
            <svg viewBox="0 0 20 20" aria-hidden="true">{playing ? <path d="M5 3.500h3.500v13H5zM11.500 3.500H15v13h-3.500z" /> : <path d="M6 3.500v13l10.500-6.500z" />}</svg>
          </button>
          <div class="player-slide">
            <input type="range" min={0} max={frames.length - 1} step={1} value={i} aria-label="Time in the life of the candle" aria-valuetext={moment}
              onInput={(e) => { setPlaying(false); setIndex(Number(e.currentTarget.value)); }} />
            <Tape from={0} to={frames.length - 1} stretches={stretches} label={`${stretches.length} burn sessions with rests between`} />
          </div>
        </div>
        <Figures>
          <Figure label="burn rate" value={frame.lit ? t.rate_g_h[s] : 0} kind="g_h" />
          <Figure label="pool reach" value={t.reach_pct[s]} kind="pct" note="of the way to the wall" />
          <Figure label="pool width" value={t.pool_wide_mm[s]} kind="mm" />
          <Figure label="pool depth" value={t.depth_mid_mm[s]} kind="mm" note="half way to the wall" />
          <Figure label="hottest wall" value={t.wall_max_C[s]} kind="C" note={t.wall_max_at_mm[s] == null ? undefined : `${show(t.wall_max_at_mm[s], 'mm')} above the floor`} />
          <Figure label="flame" value={frame.flame_mm} kind="mm" digits={0} />
          <Figure label="wax left" value={t.left_g[s]} kind="g" digits={0} />
          <Figure label="hang-up" value={t.hangup_g[s]} kind="g" note="left on the wall" />
        </Figures>
      </div>
    </div>
  );
}
