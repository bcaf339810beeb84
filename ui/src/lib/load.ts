// The same fragrance on both bases (docs/physics/recipe.md R1, R2): of wax p, of total P, with
// additives a as a share of wax: P = p / (1 + p + a), p = P (1 + a) / (1 - P). Shown while typing;
// the door's own figures are the ones kept.

export const toTotal = (ofWax_pct: number, additive_pct: number): number =>
  (100 * ofWax_pct) / (100 + ofWax_pct + additive_pct);

export const toWax = (ofTotal_pct: number, additive_pct: number): number =>
  (ofTotal_pct * (100 + additive_pct)) / (100 - ofTotal_pct);
