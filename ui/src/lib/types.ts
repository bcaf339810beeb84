// Shapes of the door's answers (docs/api.md). Keys end in their unit; unknown is null.

export interface Prop {
  label: string; help: string; unit: string; value: number | null; lo: number | null; hi: number | null;
  how: string; how_text: string; source: string | null; source_text: string | null; source_note: string | null; min: number; max: number;
}
export interface Material {
  id: string; kind: MaterialKind; name: string; klass: string; builtin: boolean; archived: boolean;
  props: Record<string, Prop>;
}
export type MaterialKind = 'wax' | 'fragrance' | 'dye' | 'additive' | 'container' | 'wick';

export interface Ref { id: string; name: string }
export interface Share extends Ref { share_pct: number }

export interface Size {
  id: string; name: string; position: number; linear_density_g_m: number | null; yield_yd_lb: number | null;
  width_mm: number | null; thickness_mm: number | null; core_mm: number | null; diameter_mm: number | null;
}
export interface Series {
  id: string; name: string; construction: Ref & { klass: string }; archived: boolean; builtin: boolean; sizes: Size[];
}
export interface Water {
  mass_g: number; temp_C: number; height_mm: number; ml: number; profile_ml: number; ratio: number;
  mismatch: boolean; diameter_error_mm: number; text: string;
}
export interface Container {
  id: string; name: string; material: Ref; profile: { height_mm: number; inner_diameter_mm: number }[];
  outline?: 'round' | 'rectangle' | 'oval'; across_mm?: number; corner_mm?: number;
  wall_mm: number; base_mm: number; height_mm: number; brim_ml: number; empty_mass_g: number | null;
  water: Water | null; curve: { height_mm: number; ml: number }[]; archived: boolean;
}
/** Where wicks stand that take equal shares of the wax. */
export interface Places {
  container: Ref; wick_count: number; fill_height_mm: number; inner_diameter_mm: number; across_mm: number; places: { x_mm: number; y_mm: number }[];
  wall_clearance_mm: number; wick_clearance_mm: number | null; problem: string | null;
}
export interface Lot {
  id: string; material_id: string; material_name: string; code: string; received: string | null;
  quantity_g: number | null; note: string | null;
}

export type RecipeState = 'described' | 'planned' | 'testing' | 'proven' | 'rejected';
export interface RecipeLine {
  id: string; name: string; archived: boolean; container: Ref; wax_text: string; fragrance_text: string;
  series_name: string; size_name: string | null; revision: number; state: RecipeState; state_text: string;
  candles_poured: number; updated: string;
}
export interface Revision {
  id: string; number: number; created: string; poured: boolean; container: Ref; fill_height_mm: number;
  headspace_mm: number; fill_mass_g: number; fill_ml: number; waxes: Share[]; fragrance: Ref | null;
  load_pct: number; load_basis: 'of_wax' | 'of_total'; load_of_wax_pct: number; load_of_total_pct: number;
  dye: Ref | null; dye_share_pct: number; additives: Share[]; series: Ref; size: Ref | null; wick_count: number;
  places?: { x_mm: number; y_mm: number }[]; places_default?: boolean; wall_clearance_mm?: number; wick_clearance_mm?: number | null;
  trim_mm: number; session_h: number; stop_height_mm: number; note: string | null;
  /** 'program' where a decision made the revision and its note. */
  note_by?: 'maker' | 'program' | null;
}
export interface Recipe {
  due_own: boolean; due_minutes: string; id: string; name: string; archived: boolean; created: string; state: RecipeState; state_text: string;
  revision: Revision; revisions: Revision[]; cautions: string[];
}
export interface RevisionDiff {
  from: number; to: number; text: string;
  factors: { key: string; label: string; before: string; after: string; retest: boolean }[];
}
export interface Weighout {
  candles: number; fill_mass_g: number; loss_pct: number; residue_g: number; resolution_g: number;
  lines: { what: string; id: string; name: string; mass_g: number }[]; total_g: number;
  load_of_wax_pct: number; load_of_total_pct: number; rounding_pct: number; pour_C: number | null;
  add_C: number | null; cautions: string[];
}

export interface Trace {
  hour: number[]; session: number[]; minute: number[]; lit: (boolean | number)[]; rate_g_h: number[];
  level_mm: number[]; reach_pct: number[]; pool_wide_mm: number[]; depth_axis_mm: number[]; depth_mid_mm: number[];
  depth_wall_mm: number[]; hangup_g: number[]; pool_bulk_C: (number | null)[]; pool_edge_C: (number | null)[];
  pool_wick_C: (number | null)[]; wall_max_C: (number | null)[]; wall_max_at_mm: (number | null)[];
  flame_mm: number[]; exposed_mm: number[]; soot_margin_mm: (number | null)[]; stress_index: (number | null)[];
  scent_rel: (number | null)[]; left_g: number[];
}
export interface ForecastSession {
  number: number; start_h: number; lit_h: number; burned_g: number; rate_g_h: number | null;
  /** From here on null where nobody measured: a session too short for a single sample. */
  reach_pct: number | null; wall_reached_min: number | null; depth_mid_mm: number | null; depth_wall_mm: number | null; hangup_g: number | null; wall_max_C: number | null;
  flame_max_mm: number | null; pool_bulk_C: number | null; left_pct: number; out: null | 'drowned' | 'starved' | 'end';
}
export interface Frame {
  hour: number; session: number; minute: number; lit: boolean | number; level_mm: number; flame_mm: number;
  exposed_mm: number; T_C: number[]; melt: number[];
}
export interface Cut {
  dr_mm: number; dz_mm: number; nr: number; nz: number; inner_radius_mm: number[]; wall_mm: number; base_mm: number;
  height_mm: number; fill_mm: number; wicks?: number; wicks_at_mm?: number[]; halves_alike?: boolean; frames: Frame[];
}
export interface Band { session: number; p05: number; p50: number; p95: number }
export interface Spread { p05: number | null; p50: number | null; p95: number | null }
export type BandKey = 'rate_g_h' | 'reach_pct' | 'depth_mid_mm' | 'wall_max_C' | 'flame_max_mm' | 'hangup_g';
export interface SizeOdds {
  size_id: string; size_name: string; linear_density_g_m: number | null; right_pct: number; too_small_pct: number;
  too_big_pct: number; wrong_kind_pct: number; unknown_pct?: number; wall_by_session_pct: number[]; hot_pct: number; drown_pct: number;
  rate_g_h: Spread; wall_max_C: Spread; flame_max_mm: Spread; burn_h: Spread; claim_h: number; claim_text: string; text: string;
  /** What the maker's own candles say of this size; it wins over the odds. */
  tested?: { candles: number; decided: Verdict['kind'] | null; by_size: string | null; against: boolean; text: string } | null;
}
export interface Odds {
  recipe_id: string; revision: number; engine: string; tables: string; seed: number; members: number;
  sizes: SizeOdds[]; cautions: string[];
}
export interface Plan {
  set: { size_id: string; size_name: string; candles: number; reason: string }[]; candles: number; cure_days: number;
  burn_days: number; days: number; bench_hours: number; sentence: string;
  status?: 'pour' | 'burn_on' | 'proven' | 'none'; learned?: Learned | null; doubts?: Doubt[]; sizes: SizeOdds[]; cautions: string[];
}
export interface Learned { wicks: number; candles: number; sessions: number; readings: number; own: number | boolean; how: string }
/** A reading the others do not explain, put as a question. */
export interface Doubt { code: string; session: number | null; reading_id: string | null; text: string }
export interface Forecast {
  recipe_id: string; revision: number;
  wick: { size_id: string; size_name: string; series_name: string; count: number; linear_density_g_m: number | null };
  engine: string; tables: string; seed: number; members: number; seconds: number; trace: Trace;
  /** Of what the one candle shown is made; `waits`: burns teach more, once that is worked out. */
  made_of: { how: 'tables' | 'burns'; waits: boolean; text: string };
  sessions: ForecastSession[];
  summary: {
    burn_h_to_stop: number | null; burn_h_total: number; burn_h_claim: number | null; rate_g_h: number;
    wall_reached_session: number | null; wall_counts_session: number | null; wall_ring_mm: number | null; flame_max_mm: number | null; wall_max_C: number | null; fill_g: number; left_g: number; end: string; text: string;
  };
  cut: Cut; intervals?: Partial<Record<BandKey, Band[]>>; odds?: SizeOdds;
  heat: { flame_W: number; pool_W: number; wall_W: number; room_W: number; melting_W: number; wick_W: number; text: string };
  verdict: Verdict; ledger: { energy_rel: number; mass_rel: number }; cautions: string[];
}

/** What every simulated burn tells, whole or in part. */
export type Burn = Pick<Forecast, 'trace' | 'sessions' | 'summary' | 'cut' | 'verdict'>;
export interface WhatIf { fine: boolean; now: Burn | null; then: Burn & { inner_diameter_mm: number; fill_g: number } }

export type Weight = 'note' | 'warn' | 'against' | 'stop';
export interface Finding {
  requirement: string; rule: string; weight: Weight; candle: string | null; session: number | null;
  value: number | null; limit: number | null; unit: string; text: string; readings: string[];
}
export interface Verdict {
  kind: 'not_yet_known' | 'too_small' | 'right' | 'too_big' | 'wrong_kind'; kind_text: string; stop_now: boolean;
  findings: Finding[]; missing: string[]; next_move: string; candles_right: number; candles_wrong: number;
  failure_bound_pct: number | null; worst_margin_pct: number | null; proof: string; simulated: boolean;
}
export interface VerdictPage {
  recipe_id: string; revision: number; text: string;
  wicks: { size_id: string; size_name: string; candles: string[]; verdict: Verdict }[];
}

export type CandleState = 'curing' | 'ready' | 'lit' | 'resting' | 'finished';
export interface Candle {
  id: string; code: string; recipe_id: string; recipe_name: string; revision: number; pour_id: string; size_id: string;
  size_name: string; wick_count: number; poured_at: string; cure_burn_at: string; cured: boolean; cure_left_h: number;
  state: CandleState; wax_mass_g: number; mass_g: number | null; left_pct: number | null; sessions: number;
  lit_h: number; ready_at: string | null;
}
export interface Pour {
  id: string; recipe_id: string; recipe_name: string; revision: number; poured_at: string; candles: Candle[];
  planned: Weighout; actual: Record<string, number | null>; load_of_wax_pct: number | null; lots: Lot[];
  cure_burn_at: string; cure_scent_at: string | null; note: string | null; warnings: string[];
}
export interface SessionCandle {
  candle_id: string; code: string; size_name: string; recipe_id: string; recipe_name: string; number: number;
  before_cure: boolean; before_rest: boolean;
  before_g: number | null; after_g: number | null; burned_g: number | null; rate_g_h: number | null;
  ended_at: string | null; reason: string | null; wax_left_pct: number | null;
  expected: {
    reach_pct: number | null; depth_mid_mm: number | null; flame_mm: number | null; wall_max_C: number | null;
    rate_g_h: number | null;
  } | null;
}
export interface Reading {
  id: string; session_id: string; candle_id: string; code: string; kind: string; label: string; unit: string;
  value: number; minute: number; at: string; note: string | null; corrects: string | null; corrected_by: string | null;
  stop?: Finding[]; conflict?: Conflict;
}
/** Readings of one candle, kind and moment that do not agree; `counts` is judged by until one is kept. */
export interface Conflict {
  code: string; kind: string; label: string; minute: number; readings: { id: string; said: string }[]; counts: string; text: string;
}
export interface Session {
  id: string; lit_at: string; planned_h: number; ended_at: string | null; open: boolean; room_temp_C: number | null;
  draught: number | null; trim_mm: number | null; minute: number; candles: SessionCandle[]; due_minutes: number[];
  next_due_at: string | null; rest_until: string | null; readings: Reading[]; conflicts?: Conflict[]; warnings: string[]; cautions: string[];
}
export interface Due {
  session_id: string; candle: string; code: string; kinds: string[]; minute: number; due_at: string; overdue_min: number;
}
export interface Today {
  now: string; lit: Session[]; due: Due[]; ready: Candle[]; resting: Candle[]; curing: Candle[];
  to_pour: RecipeLine[]; cautions: string[];
}
export interface ReadingKind {
  key: string; label: string; help: string; unit: string; type: string; min: number; max: number;
  /** Minutes of a session in which it is asked for; null = never. All that have some are asked for at the end. */
  due: { from_min: number; to_min: number } | null;
}
export interface Limit {
  key: string; value: number; unit: string; min: number; max: number; grade: string; owner: string; source: string | null;
  source_text: string | null; source_note: string | null;
  text: string; changed: boolean | string | null;
}
export interface Setting { key: string; value: string | number; label: string; help: string; choices: string[] | string | null;
  /** Of a number. */
  unit?: string; min?: number; max?: number; usual?: string;
}
export interface Meta {
  version: string; engine: string; tables: string; database: string; schema: number | string; now: string; demo: boolean;
  cautions: { melting: string[]; burning: string[]; glass: string[] };
  phone?: { seen: string[]; when: string[]; without: string[]; later: string };
  door?: {
    who: 'here' | 'all' | 'bench'; device: Ref | null; lan: boolean; encrypted: boolean; urls: { url: string; interface: string }[];
    trust?: { name: string; fingerprint: string; until: string; urls: { url: string; interface: string; qr: string }[] } | null;
  };
}
