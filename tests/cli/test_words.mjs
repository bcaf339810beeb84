// The words of the trade are explained by one table, data/terms.def: `evenpool help` says what stands there, and
// docs/glossary.md says the same. EVENPOOL names the program. Ends with "N passed, N failed".
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readTerms } from '../../ui/terms.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '../..');
const program = process.env.EVENPOOL ?? join(root, 'build/src/cli/evenpool');
const text = (name) => readFileSync(join(root, name), 'utf8');
const help = (...words) => spawnSync(program, ['help', ...words], { encoding: 'utf8' });
const flat = (s) => s.replace(/\s+/g, ' ').trim();
let passed = 0;
let failed = 0;

function is(what, ok, more = '') {
  if (ok) passed++;
  else {
    failed++;
    console.log(`not so: ${what} ${more}`);
  }
}

/** Words of the glossary's tables with what they mean: "interval, band" is two of them. */
function glossary() {
  const rows = text('docs/glossary.md').split('\n').filter((l) => /^\| /.test(l)).map((l) => l.split('|').map((c) => c.trim()));
  return new Map(rows.flatMap(([, words, means]) => words.split(', ').map((w) => [w, means])));
}

const terms = readTerms(text('data/terms.def'));
const book = glossary();
const forms = new Map();
is('the table is read whole', terms.length === (text('data/terms.def').match(/^TERM\(/gm) ?? []).length && terms.length > 30, String(terms.length));
const all = flat(help('words').stdout);
for (const t of terms) {
  is(`${t.word} stands in the glossary with the same meaning`, book.get(t.word) === t.means, `${book.get(t.word)} / ${t.means}`);
  is(`${t.word} is a meaning, not a sentence of its own`, t.means.length < 160 && !t.means.endsWith('.') && !/\bsafe\b/i.test(t.means), t.means);
  is(`help lists ${t.word}`, all.includes(flat(`${t.word} ${t.means}`)));
  for (const form of [t.word, ...t.forms]) {
    is(`"${form}" means one thing only`, !forms.has(form.toLowerCase()), `${forms.get(form.toLowerCase())} and ${t.word}`);
    forms.set(form.toLowerCase(), t.word);
  }
  // "odds", "plan" and the like are commands first
  const asked = help(t.word);
  is(`help ${t.word} explains it`, asked.status === 0 && (/^Usage|With every command/m.test(asked.stdout) || flat(asked.stdout) === flat(`${t.word} ${t.means}`)), asked.stdout + asked.stderr);
}
is('two words need no quotes', flat(help('melt', 'pool').stdout).startsWith('melt pool'));
is('another form finds it too, in any case of letters', flat(help('Mushroom').stdout).startsWith('carbon head'));
const unknown = help('gubbins');
is('a word that is none is refused, and help says where to look', unknown.status === 2 && /help words/.test(unknown.stderr), `${unknown.status} ${unknown.stderr}`);
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed ? 1 : 0;
