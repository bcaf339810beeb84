// What a chart is drawn of: which sessions of a forecast count, which readings are held against them; and what is said of
// a candle in few words; the edge of the pool as it is drawn, against the width the engine tells. No browser is needed: the pages'
// own code runs here.
import { check, finish } from './lib/browser.mjs';
import { pagesCode } from './lib/pure.mjs';
import { Workshop } from './lib/workshop.mjs';

const { sessionsThatCount, factsOf, QUANTITIES, soFar, meltLine } = await pagesCode(
  "export { sessionsThatCount, factsOf, QUANTITIES } from './facts'; export { soFar } from './candle'; export { meltLine } from './field';");

// as src/learn/observe.c counts them: half an hour on the wick's neck is the end of the jar
const burn = (lit_h, out = null) => ({ lit_h, out });
const counts = (...list) => sessionsThatCount(list).length;
check('a last session of seconds at the end of the jar is left out', counts(burn(4), burn(4), burn(0.01, 'end')) === 2);
check('so are two of them', counts(burn(4), burn(0.4, 'end'), burn(0.01, 'end')) === 1);
check('one of half an hour is none', counts(burn(4), burn(0.5, 'end')) === 2);
check('nor one that drowned early: that is what the candle does', counts(burn(4), burn(0.1, 'drowned')) === 2);
check('the only session stays', counts(burn(0.1, 'end')) === 1);

const candle = (number, ended_at) => ({ candle_id: 'c', code: 'K7QF', number, ended_at, rate_g_h: null });
const sessions = [
  { id: 'over', candles: [candle(1, '2026-03-02T13:00:00Z')] },
  { id: 'burns', candles: [candle(2, null)] },
];
const flame = (session_id, value, corrected_by = null) => ({ session_id, candle_id: 'c', code: 'K7QF', kind: 'flame', value, corrected_by });
const points = factsOf(QUANTITIES.find((q) => q.reading === 'flame'), [flame('over', 21), flame('over', 24), flame('over', 99, 'x'), flame('burns', 8)], sessions, ['K7QF']);
check('the tallest standing flame of a session that is over, and none of one that still burns', JSON.stringify(points) === '[{"x":1,"y":24,"label":"K7QF"}]', JSON.stringify(points));

const words = (sessions_, left_pct, left) => soFar({ sessions: sessions_, left_pct }, left).replace(/\s/g, ' ');
check('of a candle never lit nothing is left unknown', words(0, null) === 'never lit' && words(0, 100) === 'never lit', words(0, null));
check('what is not known of the wax left is not said', words(2, null) === '2 sessions' && words(1, null, 'left') === '1 session');
check('what is known is', words(11, 10) === '11 sessions, 10 % of the wax left', words(11, 10));
await poolAsDrawn();
finish();

/** In the demo's proven candle, out of the tables: half the width told and the outermost point of the line differ by less than a ring. */
async function poolAsDrawn() {
  const workshop = new Workshop({ demo: true });
  await workshop.start();
  try {
    const { recipes } = await workshop.get('/api/recipes');
    const { cut, trace } = await workshop.get(`/api/recipes/${recipes.find((r) => r.state === 'proven').id}/forecast?from=tables`);
    const off = [];
    for (const frame of cut.frames.filter((f) => f.lit)) {
      const s = trace.session.findIndex((n, i) => n === frame.session && Math.abs(trace.minute[i] - frame.minute) < 0.5);
      const reach = trace.reach_pct[s];
      if (!(reach > 30 && reach < 95)) continue;
      const drawn = Math.max(...[...meltLine(cut, frame).matchAll(/[ML]([\d.]+) /g)].map((m) => Number(m[1])));
      off.push(drawn - (reach / 100) * Math.min(...cut.inner_radius_mm));
    }
    const most = Math.max(...off.map(Math.abs));
    check('the edge of the pool is drawn where its width is told', off.length > 5 && most < cut.dr_mm, `${off.length} moments, ${most.toFixed(2)} mm of ${cut.dr_mm}`);
  } finally {
    await workshop.close();
  }
}
