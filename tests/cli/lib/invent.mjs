// Invents candles from a seed, in the words of the command line: any table row, any outline and profile,
// one to six wicks anywhere they may stand, any construction. Everything is inside the ranges the help
// names, so every one of them must be taken. All data are invented.

/** A stream of numbers in [0, 1) from a whole number (mulberry32). */
export function stream(seed) {
  let a = (seed * 2654435761) >>> 0;
  return () => {
    a = (a + 0x6d2b79f5) >>> 0;
    let t = a;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

export const helpers = (random) => ({
  chance: (p) => random() < p,
  from: (lo, hi) => lo + (hi - lo) * random(),
  one: (list) => list[Math.floor(random() * list.length)],
  whole: (lo, hi) => lo + Math.floor(random() * (hi - lo + 1)),
});

const round = (x, digits = 2) => Number(x.toFixed(digits));

// one in ten comes from the whole range the help names, the others are such as people own
function size(h, lo, hi, least, most) {
  return h.chance(0.1) ? h.from(least, most) : h.from(lo, hi);
}

function profile(h, wide, high) {
  const stations = [[0, wide]];
  const kind = h.whole(0, 3);  // straight, tapered, bellied, many stations
  if (kind === 1) stations[0][1] = wide * h.from(0.55, 1);
  if (kind === 2) {
    stations[0][1] = wide * h.from(0.6, 1);
    stations.push([high * h.from(0.2, 0.8), wide]);
  }
  if (kind === 3) {
    const n = h.whole(3, 8);
    for (let i = 1; i < n; i++) stations.push([(high * i) / n, wide * h.from(0.75, 1)]);
  }
  stations.push([high, kind === 2 ? wide * h.from(0.6, 1) : wide]);
  return stations.map(([z, d]) => [round(z), Math.max(15, round(d))]);
}

function container(h, shelf) {
  const outline = h.one(['round', 'round', 'rectangle', 'oval']);
  const wide = size(h, 40, 130, 24, 200);
  const high = size(h, 35, 130, 25, 180);
  const c = { material: h.one(shelf.container), profile: profile(h, wide, high) };
  c.wall = round(size(h, 0.4, 7, 0.2, 15));
  if (h.chance(0.7)) c.base = round(size(h, 0.5, 10, 0.2, 20));
  if (outline !== 'round') {
    c.outline = outline;
    c.across = round(c.profile.at(-1)[1] * h.from(0.4, 1));
    if (outline === 'rectangle' && h.chance(0.7)) c.corner = round(h.from(0, 0.5 * c.across));
  } else if (h.chance(0.3)) c.outline = 'round';
  return c;
}

/** Width of a container at a height, mm. */
export function widthAt(c, height) {
  const p = c.profile;
  for (let i = 1; i < p.length; i++) {
    if (height <= p[i][0]) {
      const t = (height - p[i - 1][0]) / (p[i][0] - p[i - 1][0]);
      return p[i - 1][1] + t * (p[i][1] - p[i - 1][1]);
    }
  }
  return p.at(-1)[1];
}

// distance of a point to the wall where the longer inner side is `wide`; of an oval a lower bound
function gap(c, wide, x, y) {
  const share = c.outline && c.outline !== 'round' ? c.across / c.profile.at(-1)[1] : 1;
  const a = wide / 2;
  const b = a * share;
  if (c.outline !== 'rectangle') return b * (1 - Math.hypot(x / a, y / b));
  const corner = ((c.corner ?? 0) / c.across) * 2 * b;
  const dx = Math.abs(x) - (a - corner);
  const dy = Math.abs(y) - (b - corner);
  return dx > 0 && dy > 0 ? corner - Math.hypot(dx, dy) : Math.min(a - Math.abs(x), b - Math.abs(y));
}

// n places with the clearances the help asks for at every height; null when none were found
function places(h, c, n) {
  const narrow = Math.min(...c.profile.map(([, d]) => d));
  const list = [];
  for (let tries = 0; list.length < n && tries < 300; tries++) {
    const [x, y] = [round(h.from(-narrow / 2, narrow / 2)), round(h.from(-narrow / 2, narrow / 2))];
    const apart = list.every(([u, v]) => Math.hypot(x - u, y - v) >= 8.5);
    if (apart && gap(c, narrow, x, y) >= 5.5) list.push([x, y]);
  }
  return list.length === n ? list : null;
}

function series(h, shelf) {
  const construction = h.one(shelf.wick);
  const sizes = [];
  const n = h.whole(1, 4);
  let density = Math.exp(h.from(Math.log(0.3), Math.log(2.5)));
  const wooden = /wooden/.test(construction);
  const cored = /zinc/.test(construction);
  for (let i = 0; i < n; i++) {
    const s = { name: `n${i + 1}` };
    if (wooden) {
      s.width = round(h.from(6, 22) + i);
      s.thickness = round(h.from(0.5, 1.1));
      density = Math.min(19, 0.55 * s.width * s.thickness);
    }
    if (cored) {
      s.core = round(h.from(0.2, 0.4));
      density = Math.max(density, 1.6);
    }
    s.linear_density = round(density, 3);
    sizes.push(s);
    density *= h.from(1.1, 1.5);
  }
  sizes.sort((a, b) => a.linear_density - b.linear_density);
  return { construction, sizes };
}

function mix(h, shelf, r) {
  const n = h.one([1, 1, 1, 2, 3]);
  const ids = [...new Set(Array.from({ length: n }, () => h.one(shelf.wax)))];
  let left = 100;
  r.waxes = ids.map((id, i) => {
    const share = i + 1 === ids.length ? left : Math.floor(left * h.from(0.2, 0.8));
    left -= share;
    return [id, share];
  });
  if (h.chance(0.6)) {
    r.fragrance = h.one(shelf.fragrance);
    r.load = round(h.from(0.5, 12));
    if (h.chance(0.5)) r.load_basis = h.one(['of_wax', 'of_total']);
  }
  if (h.chance(0.3)) {
    r.dye = h.one(shelf.dye);
    r.dye_share = round(h.from(0.01, 0.5));
  }
  if (h.chance(0.2)) r.additives = [[h.one(shelf.additive), round(h.from(0.2, 5))]];
}

function recipe(h, shelf, c) {
  const r = {};
  const high = c.profile.at(-1)[0];
  mix(h, shelf, r);
  const fill = Math.max(20, high * h.from(0.5, 1));
  if (h.chance(0.5)) r.fill_height = round(Math.min(fill, high));
  else r.headspace = round(high - Math.min(fill, high));
  if (h.chance(0.6)) r.trim = round(h.from(3, 10));
  if (h.chance(0.6)) r.session = round(h.from(1, 8));
  if (h.chance(0.6)) r.stop_height = round(h.from(0, 15));
  const n = h.one([1, 1, 1, 2, 3, 4, 5, 6]);
  const stand = n > 1 || h.chance(0.15) ? places(h, c, n) : null;
  if (stand) {
    r.wick_count = n;
    r.places = stand;
  }
  return r;
}

/** What a forecast costs, very roughly in seconds: cells, hours, and thin metal takes many small steps. */
export function cost({ container: c, recipe: r, predict: p }) {
  const wide = Math.max(...c.profile.map(([, d]) => d)) + 2 * c.wall;
  const rows = c.profile.at(-1)[0] / p.grid;
  const rings = (c.outline ?? 'round') === 'round' && !r.places;
  const columns = rings ? wide / p.grid / 2 : (wide / p.grid) ** 2;
  const metal = /tin|alu/.test(c.material) ? 6 : 1;
  return (columns * rows * metal * (1 + (p.members ?? 0)) * c.profile.at(-1)[0]) / 700_000;
}

/** One candle and how it is to be foreseen: {container, series, recipe, predict}. */
export function invent(seed, shelf) {
  const h = helpers(stream(seed));
  const c = container(h, shelf);
  const s = series(h, shelf);
  const r = recipe(h, shelf, c);
  const p = { grid: 4 };
  if (h.chance(0.8)) p.wick = h.one(s.sizes).name;
  if (h.chance(0.15)) p.abuse = h.one(['long_burn', 'untrimmed', 'both', 'none']);
  if (h.chance(0.15)) p.draught = h.whole(0, 3);
  if (!r.places && (c.outline ?? 'round') === 'round' && h.chance(0.1)) p.members = h.whole(2, 8);
  return { container: c, series: s, recipe: r, predict: p };
}
