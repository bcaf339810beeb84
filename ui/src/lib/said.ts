// Sentences made by the program speak metric: "the container gets 46 C". Here every quantity in them
// is put into the units the maker reads. The door writes a number, a space and the unit's symbol, a
// range as "15 to 30 C", a share as "8.5 of
// 12.7 mm"; what a person typed or named stands in quotes or in `names` and stays.
import { bound, getSystem, plain } from './units';

interface Turn { unit: string; of: (x: number) => number; digits: number }

const US: Record<string, Turn> = {
  mm: { unit: 'in', of: (x) => x / 25.4, digits: 2 },
  C: { unit: '°F', of: (x) => x * 1.8 + 32, digits: 0 },
  K: { unit: '°F', of: (x) => x * 1.8, digits: 0 },
  'g/h': { unit: 'oz/h', of: (x) => x / 28.349523125, digits: 3 },
  kg: { unit: 'lb', of: (x) => x / 0.45359237, digits: 2 },
  g: { unit: 'oz', of: (x) => x / 28.349523125, digits: 2 },
  ml: { unit: 'fl oz', of: (x) => x / 29.5735295625, digits: 1 },
};

const NUMBER = '[-\\u2212]?\\d+(?:\\.\\d+)?';
// not "20 mm2", not "2 g/m", not "5 Candles"
const QUANTITY = new RegExp(`(?<![\\w.])(${NUMBER})(?:( to | of |/)(${NUMBER}))? (g/h|mm|ml|kg|C|K|g)(?![\\w/²])`, 'g');
// what was typed, and examples that speak both ("75 mm or 3 in")
const KEPT = /“[^”]*”|"[^"]*"|\(typed: [^)]*\)|\d[\d./ ]* (?:mm|kg|g) or [\d./ ]+ (?:in|oz|lb)\b/g;

// said in both already: "121 C (250 F)"
const BOTH = /(\d+) C \((\d+) F\)/g;

/** `names` are things the maker named that may hold a number and a unit of their own ("Tin 71 mm"). */
export function said(text: string, names: readonly string[] = []): string {
  // both readings of a slip of the unit are meant as they stand
  if (/did you mean/.test(text)) return bound(text);
  const held: string[] = [];
  const hold = (t: string) => `\u0001${held.push(t) - 1}\u0002`;
  const us = getSystem() === 'us';
  let out = text.replace(BOTH, (_all, c: string, f: string) => hold(us ? `${f} °F (${c} °C)` : `${c} °C (${f} °F)`)).replace(KEPT, hold);
  for (const name of names) if (name) out = out.split(name).join(hold(name));
  out = out.replace(QUANTITY, (_all, a: string, between: string | undefined, b: string | undefined, unit: string) =>
    (us ? turned(a, between, b, US[unit]!) : `${a}${between ?? ''}${b ?? ''} ${unit === 'C' ? '°C' : unit}`));
  // a held text may hold another
  for (let i = held.length - 1; i >= 0; i--) out = out.split(`\u0001${i}\u0002`).join(held[i]!);
  return bound(out);
}

function turned(a: string, between: string | undefined, b: string | undefined, t: Turn): string {
  const one = (x: string) => {
    const v = t.of(Number(x.replace('\u2212', '-')));
    // small lengths keep what they say: 0.13 mm is not 0.01 in
    return Math.abs(v) < 0.1 && v !== 0 ? plain(Number(v.toPrecision(2))) : v.toFixed(t.digits).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '').replace('-', '\u2212');
  };
  return `${one(a)}${between ? `${between}${one(b!)}` : ''} ${t.unit}`;
}
