// Sentences of the program in the units the maker reads: numbers, ranges, what must not be touched.
// A number and its unit stay together. Factors: NIST SP 811 App. B.8. No browser is needed: the pages' own code runs here.
import { check, finish } from './lib/browser.mjs';
import { pagesCode } from './lib/pure.mjs';

const { said, setSystem, show, showIn, minutes } = await pagesCode("export { said } from './said'; export { setSystem, show, showIn } from './units'; export { minutes } from './when';");

const CASES = [
  // as the door says it, metric, US
  ['The flame stands 23 mm, the container gets 46 C', 'The flame stands 23 mm, the container gets 46 °C', 'The flame stands 0.91 in, the container gets 115 °F'],
  ['room 12.5 C is outside 15 to 25 C', 'room 12.5 °C is outside 15 to 25 °C', 'room 55 °F is outside 59 to 77 °F'],
  ['20 C give or take 5 K', '20 °C give or take 5 K', '68 °F give or take 9 °F'],
  ['the rate is 4.1 to 5.3 g/h', 'the rate is 4.1 to 5.3 g/h', 'the rate is 0.145 to 0.187 oz/h'],
  ['weighed 28.35 g, holds 29.57 ml', 'weighed 28.35 g, holds 29.57 ml', 'weighed 1 oz, holds 1 fl oz'],
  ['deepest pool 8.5 mm, limit 12.7 mm', 'deepest pool 8.5 mm, limit 12.7 mm', 'deepest pool 0.33 in, limit 0.5 in'],
  // two numbers before one unit, the second told of the first: both turn
  ['pool depth 8.5 of 12.7 mm', 'pool depth 8.5 of 12.7 mm', 'pool depth 0.33 of 0.5 in'],
  ['container 50.9 of 77 C', 'container 50.9 of 77 °C', 'container 124 of 171 °F'],
  ['2 of 3 candles, 5 g', '2 of 3 candles, 5 g', '2 of 3 candles, 0.18 oz'],
  // said in both already
  ['Above 121 C (250 F), or within 40 K', 'Above 121 °C (250 °F), or within 40 K', 'Above 250 °F (121 °C), or within 72 °F'],
  // an example in both stays, what stands beside it turns
  ['5 mm or 1/4 in for cotton, 3 mm for wood', '5 mm or 1/4 in for cotton, 3 mm for wood', '5 mm or 1/4 in for cotton, 0.12 in for wood'],
  // a small length keeps two figures
  ['a core of 0.5 mm', 'a core of 0.5 mm', 'a core of 0.02 in'],
  // no quantity of this kind
  ['66 % of the width in 4 h, 1.3 g/m, 3 mm2, session 3', '66 % of the width in 4 h, 1.3 g/m, 3 mm2, session 3', '66 % of the width in 4 h, 1.3 g/m, 3 mm2, session 3'],
  // both readings of a slip are meant as they stand
  ['hottest wax 60 C: did you mean 60 F (16 C)?', 'hottest wax 60 C: did you mean 60 F (16 C)?', 'hottest wax 60 C: did you mean 60 F (16 C)?'],
  // quoted, typed, named by the maker
  ['“Glass 68 mm” is 5 mm short (typed: 7 mm)', '“Glass 68 mm” is 5 mm short (typed: 7 mm)', '“Glass 68 mm” is 0.2 in short (typed: 7 mm)'],
  ['Wood 12 mm: 5 mm', 'Wood 12 mm: 5 mm', 'Wood 12 mm: 0.2 in'],
];
for (const [text, metric, us] of CASES) {
  for (const [system, wanted] of [['metric', metric], ['us', us]]) {
    setSystem(system);
    const got = said(text, ['Wood 12 mm']);
    check(`${system}: ${text}`, got.replace(/[\u00a0\u202f]/g, ' ') === wanted, got);
    check(`${system}: ${text}: no number parts from its unit`, !/\d (mm|[CFKg]|°[CF]|g\/h|ml|oz|in|fl oz|%|h)(?![\w/])/.test(got), got);
  }
}

// times and what is shown beside a sentence
const spans = [[5, '5 min'], [230, '3 h 50 min'], [180, '3 h'], [50 * 60, '2 days 2 h']];
for (const [min, wanted] of spans) {
  const got = minutes(min);
  check(`${wanted}: no number parts from its unit`, got.replace(/\u00a0/g, ' ') === wanted && !/\d (h|min|days)/.test(got), got);
}
for (const [value, kind] of [[95, 'pct'], [40, 'K'], [46, 'C'], [3, 'h']]) {
  const got = kind === 'K' ? showIn(value, 'K') : show(value, kind);
  check(`${got}: nor here`, /^\d+[\u00a0\u202f]\D+$/.test(got), got);
}
finish();
