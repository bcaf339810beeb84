// Words of the trade and what they mean: found in a text by themselves or in another of their forms. The table
// is data/terms.def, which the command line and the glossary share.
import table from 'terms:';

export interface Term { word: string; forms: string[]; means: string }

const byForm = new Map<string, Term>((table as Term[]).flatMap((t) => [t.word, ...t.forms].map((f) => [f.toLowerCase(), t] as const)));
const plainly = (s: string): string => s.replace(/[.*+?^${}()|[\]\\]/g, '\\$&').replace(/ /g, '[ \\u00a0]');
// the longest first: "melt pool" before "pool". Not the part of a longer word, nor of "pool-wide".
const ANY = new RegExp(`(?<![\\w-])(${[...byForm.keys()].sort((a, b) => b.length - a.length).map(plainly).join('|')})(?![\\w-])`, 'gi');

const termOf = (form: string): Term => byForm.get(form.toLowerCase().replace(/\u00a0/g, ' '))!;

/** The first of our words in it. */
export function termIn(text: string): Term | null {
  return pieces(text).find((p) => p.term)?.term ?? null;
}

export interface Piece { text: string; term: Term | null }

/** The text cut at our words; each word is found once, where it comes first. */
export function pieces(text: string): Piece[] {
  const out: Piece[] = [];
  const met = new Set<Term>();
  let from = 0;
  for (const found of text.matchAll(ANY)) {
    const term = termOf(found[1]!);
    if (met.has(term)) continue;
    met.add(term);
    if (found.index > from) out.push({ text: text.slice(from, found.index), term: null });
    out.push({ text: found[1]!, term });
    from = found.index + found[1]!.length;
  }
  if (from < text.length) out.push({ text: text.slice(from), term: null });
  return out;
}
