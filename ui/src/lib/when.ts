// Times in the maker's own place and language; spans in words.

const day = new Intl.DateTimeFormat(undefined, { weekday: 'short', day: 'numeric', month: 'short' });
const dayYear = new Intl.DateTimeFormat(undefined, { day: 'numeric', month: 'short', year: 'numeric' });
const clock = new Intl.DateTimeFormat(undefined, { hour: '2-digit', minute: '2-digit' });

const sameDay = (a: Date, b: Date): boolean => a.toDateString() === b.toDateString();

export const onDate = (iso: string | number): string => dayYear.format(new Date(iso));

/** "14:05", "tomorrow 14:05", "Fri 4 Dec, 14:05" as seen from `now`. */
export function atTime(iso: string | number, now: number): string {
  const t = new Date(iso);
  const today = new Date(now);
  if (sameDay(t, today)) return clock.format(t);
  if (sameDay(t, new Date(now + 864e5))) return `tomorrow ${clock.format(t)}`;
  if (sameDay(t, new Date(now - 864e5))) return `yesterday ${clock.format(t)}`;
  return `${day.format(t)}, ${clock.format(t)}`;
}

/** "3 h 05 min", "12 min", "2 days 4 h"; no number parts from its unit. */
export function span(ms: number): string {
  const min = Math.max(0, Math.round(ms / 60000));
  if (min < 60) return `${min}\u00a0min`;
  const h = Math.floor(min / 60);
  if (h < 48) return min % 60 ? `${h}\u00a0h ${String(min % 60).padStart(2, '0')}\u00a0min` : `${h}\u00a0h`;
  const d = Math.floor(h / 24);
  return h % 24 ? `${d}\u00a0days ${h % 24}\u00a0h` : `${d}\u00a0days`;
}

export const minutes = (min: number): string => span(min * 60000);

export const plural = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;

/** "size 3", but "Flat 3" as it is. */
export const sizeWord = (name: string): string => (/^\d/.test(name) ? `size ${name}` : name);
