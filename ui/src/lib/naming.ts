// What a thing is called when its maker gives it no name: a forecast can live without one.

/** "Round jar 72 mm": from what was measured, as it was typed. */
export const jarName = (outline: string, across: string): string =>
  [outline === 'round' ? 'Round jar' : outline === 'oval' ? 'Oval jar' : 'Square jar', across.trim()].filter(Boolean).join(' ');

/** The name, or the next one with a number that nobody has yet; letters of either case are the same. */
export function freeName(name: string, taken: readonly string[]): string {
  const has = new Set(taken.map((t) => t.toLowerCase()));
  if (!has.has(name.toLowerCase())) return name;
  let n = 2;
  while (has.has(`${name} ${n}`.toLowerCase())) n++;
  return `${name} ${n}`;
}
