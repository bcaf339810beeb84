// Spoils one thing of a good candle and says which field must be named and what the refusal must hold.
import { helpers, stream } from './invent.mjs';

const UNITS = { wall: 'mm', base: 'mm', inner_diameter: 'mm', height: 'mm', fill_height: 'mm', trim: 'mm', session: 'h', stop_height: 'mm',
  load: '%', dye_share: '%', grid: 'mm', corner: 'mm' };

// step, field, below, above the range; null = no number lies on that side
const RANGED = [
  ['container', 'wall', 0.05, 31], ['container', 'base', -1, 30.5], ['container', 'empty_mass', 0.5, 10001],
  ['container', 'water_mass', 0, 20001], ['recipe', 'fill_height', 7, 401], ['recipe', 'trim', 0.5, 16], ['recipe', 'session', 0.2, 12.5],
  ['recipe', 'stop_height', -1, 61], ['recipe', 'wick_count', 0, 7], ['predict', 'grid', 0.4, 4.1], ['predict', 'members', -1, 513],
  ['predict', 'seed', -1, 2147483648], ['predict', 'draught', -1, 4], ['predict', 'revision', 0, 10001],
];
const OUTSIDE = /outside .+ to .+|(must be|allowed|from) .+ to .+/;

const GARBAGE = ['much', 'nan', 'inf', '1e999', '--3', '3..4 mm', '5 parsec', '', '0x', '∞', '3 mm 4'];

function ranged(h, candle) {
  const [step, field, low, high] = h.one(RANGED);
  const value = h.chance(0.5) ? low : high;
  return { step, field, value, what: 'outside its range', says: [new RegExp(String(Math.abs(value)).replace('.', '\\.')), OUTSIDE] };
}

function garbage(h) {
  const [step, field] = h.one(RANGED);
  const value = h.one(GARBAGE.filter((g) => g !== ''));
  return { step, field, value, what: 'no number', says: [] };
}

function wrongUnit(h) {
  const [step, field, value] = h.one([['container', 'wall', '3 oz'], ['container', 'base', '5 C'], ['recipe', 'fill_height', '60 g'],
    ['recipe', 'trim', '5 h'], ['recipe', 'session', '4 mm'], ['recipe', 'stop_height', '10 %'], ['predict', 'grid', '2 C']]);
  return { step, field, value, what: 'a unit of another kind', says: [new RegExp(value.split(' ')[1])] };
}

function unknown(h) {
  const [step, field, value] = h.one([['container', 'material', 'no-such-wall'], ['series', 'construction', 'no-such-wick'],
    ['recipe', 'fragrance', 'no-such-oil'], ['recipe', 'dye', 'no-such-dye'], ['recipe', 'size', 'huge'], ['predict', 'wick', 'huge'],
    ['container', 'outline', 'triangle'], ['recipe', 'load_basis', 'of_moon'], ['predict', 'abuse', 'gently']]);
  return { step, field, value, what: 'unknown', says: [new RegExp(value)] };
}

// each changes the candle itself; what it breaks stands in the answer
const WHOLE = [
  (c) => { c.container.profile = [[0, 70], [40, 12], [90, 70]]; return ['container', 'profile[2].inner_diameter', [/12/, /15 mm to 400 mm/]]; },
  (c) => { c.container.profile = [[0, 70], [60, 80], [40, 70]]; return ['container', 'profile', [/40|60/]]; },
  (c) => { c.container.profile = [[5, 70], [90, 70]]; return ['container', 'profile', [/5/]]; },
  (c) => { c.container.profile = [[0, 70]]; return ['container', 'profile', [/2/]]; },
  (c) => { c.container.profile = [[0, 70], [401, 70]]; return ['container', 'profile[2].height', [/401/, /0 mm to 400 mm/]]; },
  (c) => { delete c.container.wall; return ['container', 'wall', [/needed/]]; },
  (c) => { delete c.container.material; return ['container', 'material', [/needed/]]; },
  (c) => { delete c.container.profile; return ['container', 'inner_diameter', [/needed|profile/]]; },
  (c) => { c.series.sizes[0].linear_density = 0.05; return ['series', 'sizes[1].linear_density', [/0\.05/, /0\.1 g\/m to 20 g\/m/]]; },
  (c) => { c.series.sizes[0].width = 60; return ['series', 'sizes[1].width', [/60/, /0\.3 mm to 50 mm/]]; },
  (c) => { delete c.series.sizes[0].linear_density; return ['series', 'sizes[1].linear_density', [/needed/]]; },
  (c) => { c.series.sizes.push({ ...c.series.sizes[0] }); return ['series', `sizes[${c.series.sizes.length}].name`, [new RegExp(c.series.sizes[0].name)]]; },
  (c) => { c.recipe.waxes = [['std-wax-soy', 60]]; return ['recipe', 'waxes', [/60/, /100/]]; },
  (c) => { c.recipe.waxes = [['std-wax-soy', 160]]; return ['recipe', 'waxes[1].share', [/160/, /0 % to 100 %/]]; },
  (c) => { c.recipe.waxes = [['std-wax-lead', 100]]; return ['recipe', 'waxes[1].id', [/std-wax-lead/]]; },
  (c) => { delete c.recipe.waxes; return ['recipe', 'waxes', [/needed/]]; },
  (c) => { delete c.recipe.fragrance; delete c.recipe.load_basis; c.recipe.load = 6; return ['recipe', 'load', [/fragrance/]]; },
  (c) => { c.recipe.fragrance = 'std-fragrance-resin'; c.recipe.load = 0; return ['recipe', 'load', [/0 %/, /0.001 % to 30 %/]]; },
  (c) => { c.container.outline = 'oval'; c.container.corner = 3; return ['container', 'corner', [/3 mm/]]; },
  (c) => { c.recipe.fragrance = 'std-fragrance-resin'; c.recipe.load = 31; return ['recipe', 'load', [/31/, /0 % to 30 %/]]; },
  (c) => { delete c.recipe.headspace; c.recipe.fill_height = c.container.profile.at(-1)[0] + 1; return ['recipe', 'fill_height', [/ to /]]; },
  (c) => { delete c.recipe.fill_height; c.recipe.headspace = c.container.profile.at(-1)[0] + 1; return ['recipe', 'headspace', [/ to /]]; },
  (c) => { c.recipe.wick_count = 1; c.recipe.places = [[200, 0]]; return ['recipe', 'places', [/mm/]]; },
  (c) => { c.recipe.wick_count = 2; c.recipe.places = [[1, 0], [1, 1]]; return ['recipe', 'places', [/apart|from the wall/, /\d mm .*at least \d mm/]]; },
  (c) => { c.recipe.wick_count = 3; c.recipe.places = [[0, 0]]; return ['recipe', 'places', [/3/, /1/]]; },
  (c) => { c.recipe.additives = [['std-additive-stearin', 101]]; return ['recipe', 'additives[1].share', [/101/, /0 % to 100 %/]]; },
  (c) => { c.recipe.stop_height = 90; c.recipe.fill_height = 30; delete c.recipe.headspace; return ['recipe', 'stop_height', [/90/, / to /]]; },
  (c) => { c.predict.members = 1; return ['predict', 'members', [/1/, /2 to 512/]]; },
];

/** {step, candle, field, says, what}: the command that must be refused and what the refusal must hold. */
export function spoil(seed, good, shelf) {
  const h = helpers(stream(seed + 7_000_000));
  const candle = structuredClone(good);
  const kind = h.one([ranged, ranged, garbage, wrongUnit, unknown, null, null, null]);
  if (!kind) {
    const change = h.one(WHOLE);
    const [step, field, says] = change(candle);
    return { step, candle, field, says, what: 'does not go together' };
  }
  const { step, field, value, what, says } = kind(h, candle, shelf);
  const part = candle[step];
  if (field === 'fill_height') delete part.headspace;
  if (field === 'headspace') delete part.fill_height;
  part[field] = value;
  return { step, candle, field, says, what };
}
