// Where the heat of the flame goes, over the whole life: one bar for the flame, and one magnified for
// the small part that the candle keeps.
import { show } from '../lib/units';
import type { Forecast } from '../lib/types';

interface Part { name: string; W: number; cls: string }

export function Heat({ heat }: { heat: Forecast['heat'] }) {
  const kept = heat.pool_W + heat.wall_W;
  const flame: Part[] = [
    { name: 'into the wax', W: heat.pool_W, cls: 'heat-pool' },
    { name: 'into the wall', W: heat.wall_W, cls: 'heat-wall' },
    { name: 'up with the hot air and its light', W: heat.flame_W - kept, cls: 'heat-air' },
  ];
  const warm = Math.max(0, heat.wick_W - heat.melting_W);
  const spent: Part[] = [
    { name: 'to the room, from wax and wall', W: heat.room_W, cls: 'heat-room' },
    { name: 'melting the wax that is burned', W: heat.melting_W, cls: 'heat-melt' },
    { name: 'warming it further', W: warm, cls: 'heat-warm' },
    { name: 'still held at the end', W: Math.max(0, kept - heat.room_W - heat.melting_W - warm), cls: 'heat-held' },
  ].filter((p) => p.W >= 0.02);
  return (
    <div class="heat">
      <Bar title={`Of the ${show(heat.flame_W, 'W', 0)} the flame makes`} parts={flame} whole={heat.flame_W} />
      <Bar title={`Of the ${show(kept, 'W')} that wax and wall take up`} parts={spent} whole={kept} />
    </div>
  );
}

function Bar({ title, parts, whole }: { title: string; parts: Part[]; whole: number }) {
  return (
    <figure class="heat-bar">
      <figcaption>{title}</figcaption>
      <div class="heat-strip" aria-hidden="true">
        {parts.map((p) => <span key={p.name} class={p.cls} style={{ flexGrow: Math.max(p.W, 0) / (whole || 1) }} />)}
      </div>
      <ul class="heat-list">
        {parts.map((p) => (
          <li key={p.name}><span class={`swatch ${p.cls}`} aria-hidden="true" /> <b>{show(p.W, 'W')}</b> <span class="quiet">{show((100 * p.W) / (whole || 1), 'pct', 0)}</span> {p.name}</li>
        ))}
      </ul>
    </figure>
  );
}
