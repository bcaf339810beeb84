/// What the bench cases share: pours, candles, burn sessions, readings, verdicts.
/// Lengths m, masses kg, times ms; names of the shapes are those of docs/api.md.
/// Everything expects the app's lock to be held.
#pragma once
#include <math.h>

#include "app/app_int.h"

#define EP_NOT_KNOWN ((double)NAN)

typedef enum ep_candle_stage {
    EP_CANDLE_CURING,
    EP_CANDLE_READY,
    EP_CANDLE_LIT,
    EP_CANDLE_RESTING,
    EP_CANDLE_FINISHED
} ep_candle_stage;

/// A candle as the book knows it now. Times are 0 when there is none, masses NaN when unknown.
typedef struct ep_candle {
    char id[EP_ID_CAP], code[16], pour_id[EP_ID_CAP];
    char recipe_id[EP_ID_CAP], recipe_name[80], revision_id[EP_ID_CAP], container_id[EP_ID_CAP];
    char size_id[EP_ID_CAP], size_name[40], open_session[EP_ID_CAP], finish_reason[16];
    int revision, wick_count, sessions;
    ep_time_ms poured_ms, cure_burn_ms, last_end_ms, open_lit_ms, finish_ms;
    double fill_height_m;
    double wax_kg;    ///< fill: weighed when the empty container's mass is known, else as poured
    double first_kg;  ///< with container, before it was ever lit
    double mass_kg;   ///< with container, last weighed
    double empty_kg;  ///< container alone
    double lit_s;     ///< of the sessions that are over
} ep_candle;

// --- candles.c ---
void ep_candle_read(const json_t *row, ep_candle *c);  ///< row of the view candle_now
/// `key` is an id or a code. EP_E_NOT_FOUND names `field`.
ep_status ep_candle_load(ep_app *app, const char *key, const char *field, ep_candle *out,
                         ep_err *err);
/// Wax left when the candle, container and all, weighs mass_kg; NaN when it cannot be known.
double ep_candle_left_kg(const ep_candle *c, double mass_kg);
ep_candle_stage ep_candle_stage_at(ep_app *app, const ep_candle *c, ep_time_ms now);
ep_time_ms ep_candle_rest_until(ep_app *app, const ep_candle *c);  ///< 0 when never burned
json_t *ep_shape_candle(ep_app *app, const ep_candle *c);
/// Every row of a candle query as shapes; stage -1 = all.
json_t *ep_shape_candles(ep_app *app, const json_t *rows, int stage);
/// A mass with container that cannot be: below the empty container, or far above the full candle.
ep_status ep_candle_mass_check(const ep_candle *c, double mass_kg, const char *field, ep_err *err);

/// Where the wax stands: level and inner width for a share of the fill left (0..1).
/// NaN share = as filled.
typedef struct ep_level {
    double level_m, inner_m;
} ep_level;
ep_level ep_candle_level(const ep_vessel *v, double fill_height_m, double left_frac);

// --- pour_check.c: what a maker should look at again; pure ---
typedef struct ep_pour_facts {
    int candles;
    double wax_kg, fragrance_kg, dye_kg;                 ///< NaN when not weighed
    double wax_peak_K, add_K, pour_K, vessel_K, room_K;  ///< NaN when not taken
} ep_pour_facts;

typedef struct ep_pour_plan {
    double fill_kg;      ///< of one candle
    double load_of_wax;  ///< 0 = unscented
    double dye_of_wax;   ///< 0 = undyed
    double additive_of_wax;
    double pour_K, add_K, solidus_K, flash_K, max_load_of_wax;
} ep_pour_plan;

/// Appends sentences to `warnings`.
void ep_pour_warn(const ep_pour_facts *f, const ep_pour_plan *plan, json_t *warnings);
/// Wax in one candle: the fill, or its share of what was weighed when that is less.
double ep_pour_candle_kg(const ep_pour_facts *f, const ep_pour_plan *plan);

// --- dossier.c: rows to what the judge reads ---
typedef struct ep_book {
    ep_dossier d;  ///< points into the arrays below
    ep_candle_record *candle;
    ep_burn_record *burn;
    ep_reading *reading;
    json_t *conflicts;  ///< what is still disputed among them; the cautious ones are in `reading`
} ep_book;

/// Candles by id, all of one revision and size. The book is cleared with ep_book_clear, also after
/// an error.
ep_status ep_book_load(ep_app *app, const ep_candle *candles, int n, ep_book *out, ep_err *err);
void ep_book_clear(ep_book *b);

// --- verdict.c, verdict_shape.c ---
/// `Verdict` and `Finding` of docs/api.md; readings are named by the ids in the dossier.
json_t *ep_shape_verdict(const ep_verdict *v, const ep_dossier *d);
json_t *ep_shape_finding(const ep_finding *f, const ep_dossier *d);
/// Candles of a revision (rows of CANDLES_OF_REVISION) with one size; *out owned (free), may be
/// NULL when there is none.
ep_status ep_candles_of_size(const json_t *rows, const char *size_id, ep_candle **out, int *n,
                             ep_err *err);
/// Judge those candles together by the workshop's limits.
ep_status ep_judge_candles(ep_app *app, const ep_candle *candles, int n, ep_verdict *v,
                           json_t **out, ep_err *err);
/// Newest revision that was poured, else the newest.
ep_status ep_revision_judged(ep_app *app, const char *recipe_id, int asked, int *number,
                             ep_err *err);

// --- session_shape.c ---
ep_status ep_shape_session(ep_app *app, const char *session_id, json_t **out, ep_err *err);

// --- session_find.c ---
/// A session by its id or by a candle's code (field "id"); `by` is that candle, or has an empty id.
ep_status ep_session_find(ep_app *app, const char *text, char id[EP_ID_CAP], ep_candle *by,
                          ep_err *err);

// --- due.c: when readings are due, and which ---
enum { EP_MAX_DUE = 24 };
/// Minutes at which readings of a recipe ("" = of none: the workshop's) are due in a session of
/// that planned length, its end included; returns how many.
int ep_due_minutes(ep_app *app, const char *recipe_id, double planned_h, double minute[EP_MAX_DUE]);
/// The same for candles of several recipes lit together: each minute once, rising.
int ep_due_minutes_of_all(ep_app *app, const json_t *burns, double planned_h,
                          double minute[EP_MAX_DUE]);
/// The due minute that waits: the latest one passed without a reading at it or since, else the next
/// one; NaN when none is left. last_read_min is negative when nothing was read yet.
double ep_due_waiting(const double *minute, int n, double last_read_min, double now_min);
/// Keys of the readings asked for at that minute. New reference.
json_t *ep_due_kinds(double minute, double planned_min);
/// From which minute of a session a kind is asked for, and until which, as {from_min, to_min}; null
/// for one that is never asked for. All that have a span are asked for at the end.
json_t *ep_due_span(ep_reading_kind kind);
/// Minute of the last reading of a candle among `readings` (shapes or rows); -1 when none.
double ep_last_read_minute(const json_t *readings, const char *candle_id);

// --- readings.c ---
/// Row of READING_GET and its sisters to `Reading`.
json_t *ep_shape_reading(const json_t *row);
/// Row of a reading that holds; when it was corrected, the refusal tells of the one that holds now.
ep_status ep_reading_standing(ep_app *app, const char *id, const char *field, json_t **row,
                              ep_err *err);
/// A reading the program writes itself because another case was told it (went out, broken, mass).
ep_status ep_reading_note(ep_app *app, const char *session_id, const char *candle_id,
                          ep_reading_kind kind, double value, double minute, ep_time_ms seen,
                          ep_err *err);
/// What was seen: of which candle, in which burn of it.
typedef struct ep_seen {
    ep_candle candle;
    char session[EP_ID_CAP];
    ep_time_ms lit_ms, end_ms;  ///< end 0 while lit
    double before_g;            ///< NaN when not weighed
} ep_seen;

/// From checked fields candle and session; without a session the one it is lit in, else the last.
ep_status ep_seen_find(ep_app *app, const json_t *in, ep_seen *s, ep_err *err);
/// From checked fields minute or at, else now. `lit`: only while it burned, and ten minutes after.
ep_status ep_seen_minute(ep_app *app, const json_t *in, const ep_seen *s, bool lit, double *minute,
                         ep_err *err);
/// Kind and value (in the kind's unit) of checked fields of reading_add, before it is known whether
/// they fit the candle. Errors name kind or value.
ep_status ep_reading_said(const json_t *in, ep_reading_kind *kind, double *value, ep_err *err);
/// reading_add without asking what the new reading means for the candle.
ep_status ep_reading_put(ep_app *app, const json_t *in, ep_err *err);

// --- conflicts.c: readings of one candle, kind and moment (less than a minute) that differ ---
/// `Conflict` of docs/api.md for each among rows of READINGS_OF_*. New reference.
json_t *ep_conflicts_of(const json_t *rows);
/// The same around one reading: in its session, of its candle.
ep_status ep_conflicts_around(ep_app *app, const json_t *reading, json_t **out, ep_err *err);
/// The conflict of that list a reading is in, NULL when none; borrowed.
json_t *ep_conflict_with(const json_t *conflicts, const char *id);
/// Takes out of rows (READINGS_THAT_HOLD, READINGS_OF_*) what does not count while a conflict
/// stands: the cautious reading stays (docs/judging.md).
void ep_conflicts_yield(json_t *rows);
/// "20 mm", "yes": as a maker would say it.
const char *ep_reading_words(const json_t *row, char *buf, size_t cap);
const char *ep_reading_label(const json_t *row);

// --- small things both sides of the bench need (bench.c) ---
/// Not later than now (a minute of clock difference is forgiven) and not before `earliest`.
ep_status ep_time_check(ep_app *app, ep_time_ms t, ep_time_ms earliest, const char *earliest_what,
                        const char *field, ep_err *err);
void ep_warn(json_t *list, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
