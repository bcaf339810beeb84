// Reads src/app/*.def, the table of what every case takes: for the pages, what a number field is in, from
// where to where, and an example. Only numbers are kept; texts have no range to show.
const UNIT = { MM: 'mm', G: 'g', DEG_C: 'C', PCT: '%', G_M: 'g/m', H: 'h', MIN: 'min' };
const NUMBER = /(?<![\w.])-?\d+(?:\.\d+)? ?(?:g\/m|mm|kg|g|C|%|h|min)(?![\w/])/;
const PLAIN = /(?<![\w.])\d+(?![\w.])/;

/** The cases that have a form. */
const FORMS = ['container_add', 'series_add', 'recipe_add', 'pour_add', 'recipe_weigh', 'session_light', 'session_end', 'lot_add'];

/** { case: { field: { unit, min, max, example } } }; a field of a list's elements is "list.field". */
export function readFields(texts) {
  const all = texts.join('\n').replace(/\\\n\s*/g, ' ');
  const macros = Object.fromEntries([...all.matchAll(/^#define (\w+)(?:\(\w+\))? +(F.*)$/gm)].map((m) => [m[1], m[2]]));
  const blocks = [...all.matchAll(/^CASE_(FIELDS|ITEMS)\((\w+),([^]*?)\)\n(?=CASE|\n|#|\/\/)/gm)];
  const items = Object.fromEntries(blocks.filter((b) => b[1] === 'ITEMS').map((b) => [b[2], fieldsOf(b[3], macros)]));
  return Object.fromEntries(FORMS.map((name) => {
    const block = blocks.find((b) => b[1] === 'FIELDS' && b[2] === name);
    const rows = block ? rowsOf(fieldsOf(block[3], macros), items) : {};
    if (!Object.keys(rows).length) throw new Error(`src/app/*.def: no number field of ${name} was found`);
    return [name, rows];
  }));
}

/** The F(...) of a block, cut where the next begins. */
function fieldsOf(text, macros) {
  const whole = text.replace(/^\s*(\w+)\(\w+\)/gm, (call, name) => macros[name] ?? call);
  return whole.split(/(?=\bF\([A-Z]+, ")/).flatMap((f) => {
    const head = /^F\(([A-Z]+), "(\w+)"/.exec(f);
    const of = (key) => new RegExp(`\\.${key} = ([-\\d.e]+|"[^"]*"|EP_U_\\w+)`).exec(f)?.[1];
    if (!head) return [];
    return [{
      type: head[1], name: head[2], unit: UNIT[of('unit')?.slice(5)] ?? '', min: Number(of('min')), max: Number(of('max')),
      help: of('help')?.slice(1, -1) ?? '', items: /F_ITEMS\((\w+)\)/.exec(f)?.[1],
    }];
  });
}

const isNumber = (f) => ['QUANTITY', 'INT'].includes(f.type) || (f.type === 'OBJECT' && f.unit !== '');

function rowsOf(fields, items) {
  const rows = {};
  for (const f of fields) {
    if (isNumber(f)) rows[f.name] = rowOf(f);
    const own = (items[f.items] ?? []).filter(isNumber);
    // one number to an element: the list's own example is nearer than that of elements used by several lists
    for (const i of own) rows[`${f.name}.${i.name}`] = rowOf(i, own.length === 1 ? f.help : '');
  }
  return rows;
}

function rowOf({ name, unit, min, max, help }, nearer = '') {
  const in_ = (text) => (unit ? NUMBER : PLAIN).exec(text)?.[0] ?? '';
  if (!(min < max)) throw new Error(`src/app/*.def: ${name} has no range`);
  return { unit, min, max, example: in_(nearer) || in_(help) };
}
