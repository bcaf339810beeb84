/// What the files of the app room share: the open workshop, reading checked input, building
/// answers, loading things by id, naming things, and the shapes several cases give back. Everything
/// here expects the app's lock to be held (ep_app_call holds it, except for EP_NEEDS_COMPUTE cases,
/// which take it themselves with ep_app_begin / ep_app_end).
#pragma once
#include <pthread.h>

#include "app/app.h"
#include "app/cases_int.h"
#include "app/turn_int.h"
#include "judge/judge.h"
#include "matter/material.h"
#include "matter/melt.h"
#include "matter/wick.h"
#include "recipe/recipe.h"
#include "store/store.h"
#include "vessel/vessel.h"

struct ep_app {
    ep_store *store;
    ep_clock clock;
    bool demo;
    pthread_mutex_t lock;      ///< recursive; guards the store
    pthread_mutex_t darkroom;  ///< one photo at a time is made anew; taken without the other
    pthread_mutex_t thinking;  ///< one belief at a time is worked out; taken without the others
    ep_turns turns;            ///< has a lock of its own
    pthread_key_t waiter;      ///< of each thread: who waits for what it works out
};

enum { EP_ID_CAP = 40 };  ///< room for an id as text

/// A wick lit shorter than this can be put out by melt that climbs it, which the engine does not
/// know (docs/validation.md, "Drowning").
#define EP_SHORT_TRIM_M 3e-3

ep_time_ms ep_app_now(const ep_app *app);
/// Who waits for the call this thread is in; NULL = somebody who does not go away.
const ep_waiter *ep_app_waiter(const ep_app *app);
void ep_app_lock(ep_app *app);
void ep_app_unlock(ep_app *app);

/// Lock and begin; end commits when `status` is EP_OK and rolls back otherwise, unlocks, and
/// returns the status of the whole. `who` is a literal.
ep_status ep_app_begin(ep_app *app, bool write, const char *who, ep_err *err);
ep_status ep_app_end(ep_app *app, ep_status status, ep_err *err);

/// The row of a case by its name; NULL when unknown. Its fields can be used with ep_fields_check.
const ep_use_case *ep_use_case_find(const char *name);

/// Refuse a field that is not among `field`; names those that look like it, or all.
ep_status ep_field_unknown(const ep_field *field, int n, const char *prefix, const char *key,
                           ep_err *err);

/// Text with a unit, or a bare number in `unit`, to SI, inside min..max (in `unit`).
ep_status ep_value_si(const json_t *value, ep_unit unit, double min, double max, const char *field,
                      double *si, ep_err *err);

/// A field of kind FILE or BYTES: is it one, and not too large? *out is a new reference.
ep_status ep_field_file_check(const ep_field *f, const char *name, const json_t *in, json_t **out,
                              ep_err *err);

/// Hand on what a lower room said under the field the person filled in.
ep_status ep_err_as(ep_err *err, const ep_err *inner, const char *field);

/// Writes once per client id: `answer` gets the first answer (new reference) when this id was
/// already used with the same content, NULL when it is new; EP_E_CONFLICT for other content.
/// ep_app_call does this for whole cases; cases that write several things use it for each.
ep_status ep_receipt_find(ep_app *app, const char *id, const char *use_case, const json_t *content,
                          json_t **answer, ep_err *err);
ep_status ep_receipt_keep(ep_app *app, const char *id, const char *use_case, const json_t *content,
                          const json_t *answer, ep_err *err);

// --- in.c: reading checked input. "Absent" includes null. ---
bool ep_in_has(const json_t *in, const char *key);          ///< given and not null
bool ep_in_cleared(const json_t *in, const char *key);      ///< given as null
const char *ep_in_text(const json_t *in, const char *key);  ///< NULL when absent; borrowed
double ep_in_real(const json_t *in, const char *key, double absent);
int ep_in_int(const json_t *in, const char *key, int absent);
bool ep_in_bool(const json_t *in, const char *key, bool absent);
ep_time_ms ep_in_time(const json_t *in, const char *key, ep_time_ms absent);
const json_t *ep_in_any(const json_t *in, const char *key);  ///< NULL when absent; borrowed
/// The client's `id`, or a new one.
void ep_in_new_id(const ep_app *app, const json_t *in, char id[EP_ID_CAP]);

// --- out.c: building answers. Not finite = null. Numbers are rounded to 10 significant digits, so
// that 70 mm does not come back as 70.00000000000001. ---
void ep_out_real(json_t *o, const char *key, double value);
void ep_out_unit(json_t *o, const char *key, double si, ep_unit unit);
void ep_out_int(json_t *o, const char *key, long long value);
void ep_out_bool(json_t *o, const char *key, bool value);
void ep_out_text(json_t *o, const char *key, const char *text);  ///< NULL or "" = null
void ep_out_textf(json_t *o, const char *key, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));
void ep_out_time(json_t *o, const char *key, ep_time_ms t);
/// "source" as it is kept (a citation key or a note), "source_text" to be read, "source_note" or
/// null.
void ep_out_source(json_t *o, const char *key);
void ep_out_null(json_t *o, const char *key);
void ep_out_new(json_t *o, const char *key, json_t *value);  ///< takes over the reference
void ep_out_ref(json_t *o, const char *key, const char *id,
                const char *name);  ///< {id, name}; null
double ep_out_round(double value);
/// Reading a row that came from the store.
const char *ep_row_text(const json_t *row, const char *key);  ///< "" when null; borrowed
double ep_row_real(const json_t *row, const char *key);       ///< NaN when null
long long ep_row_int(const json_t *row, const char *key, long long null);

// --- find.c: ids by id, exact name (case does not matter) or code. `field` is named in errors.
// EP_E_NOT_FOUND lists what there is; EP_E_ARG when a name fits several. ---
ep_status ep_find_material(ep_app *app, int kind /* ep_material_kind or -1 */, const char *text,
                           const char *field, char id[EP_ID_CAP], ep_err *err);
ep_status ep_find_series(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                         ep_err *err);
ep_status ep_find_size(ep_app *app, const char *series_id, const char *text, const char *field,
                       char id[EP_ID_CAP], ep_err *err);
ep_status ep_find_container(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                            ep_err *err);
ep_status ep_find_recipe(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                         ep_err *err);
ep_status ep_find_lot(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                      ep_err *err);
/// A thing of any of the kinds in the bit set (1 << EP_THING_...).
typedef enum ep_thing {
    EP_THING_MATERIAL,
    EP_THING_SERIES,
    EP_THING_CONTAINER,
    EP_THING_RECIPE,
    EP_THING_COUNT_
} ep_thing;
ep_status ep_find_thing(ep_app *app, unsigned kinds, const char *text, const char *field,
                        ep_thing *kind, char id[EP_ID_CAP], ep_err *err);
/// EP_E_CONFLICT when a row of `query` (id, name) that is not archived has this name.
ep_status ep_refuse_same_name(ep_app *app, ep_query query, const char *name, const char *noun,
                              ep_err *err);
/// {key: [give(id) for every row of `query`]}, archived ones only when asked for.
typedef ep_status (*ep_give_fn)(ep_app *app, const char *id, json_t **out, ep_err *err);
ep_status ep_give_list(ep_app *app, ep_query query, bool archived, const char *key, ep_give_fn give,
                       json_t **out, ep_err *err);
/// "none" and "" clear an optional reference.
bool ep_means_none(const char *text);

// --- load.c: things by id, in the types of the rooms below. EP_E_NOT_FOUND names the id. ---
/// Built-in values with the maker's own newest values over them.
ep_status ep_app_material_load(ep_app *app, const char *id, ep_material *out, ep_err *err);
ep_status ep_app_series_load(ep_app *app, const char *id, ep_wick_series *out, ep_err *err);
/// Series of a size and the size's place in it; series_id may be NULL.
ep_status ep_app_size_load(ep_app *app, const char *size_id, ep_wick_series *series, int *index,
                           ep_err *err);
/// `wall` may be NULL.
ep_status ep_app_container_load(ep_app *app, const char *id, ep_vessel *vessel, ep_material *wall,
                                ep_err *err);
/// number 0 = newest.
ep_status ep_app_revision_load(ep_app *app, const char *recipe_id, int number, ep_revision *out,
                               ep_err *err);
ep_status ep_app_revision_by_id(ep_app *app, const char *revision_id, ep_revision *out,
                                ep_err *err);
/// The poured mix of a revision.
ep_status ep_app_melt_of(ep_app *app, const ep_revision *r, ep_melt *out, ep_err *err);
/// Name of a material, series, size, container or recipe; "" when unknown. Returns buf.
const char *ep_app_name(ep_app *app, const char *id, char *buf, size_t cap);
bool ep_app_archived(ep_app *app, const char *id);

// --- limits.c, settings.c ---
/// EP_LIMIT_COUNT_ rows: the table with the workshop's own choices in it.
ep_status ep_app_limits_load(ep_app *app, ep_limit *out, ep_err *err);
/// Value of a setting or its default, as text. Returns buf.
const char *ep_app_setting(ep_app *app, const char *key, char *buf, size_t cap);
/// Minutes at which readings of a recipe are due, as text: its own (true), or the workshop's.
bool ep_app_due_setting(ep_app *app, const char *recipe_id, char *buf, size_t cap);
/// A setting that is a number, in the unit its key ends in (session_h, rest_h).
double ep_app_setting_number(ep_app *app, const char *key);

// --- meta.c: cautions, shown where the danger is. New arrays of texts. ---
typedef enum ep_caution { EP_CAUTION_MELTING, EP_CAUTION_BURNING, EP_CAUTION_GLASS } ep_caution;
json_t *ep_cautions(ep_caution kind);
void ep_cautions_add(json_t *list, ep_caution kind);
/// One more, when a wick is trimmed to less than EP_SHORT_TRIM_M.
void ep_cautions_short_trim(json_t *list, double trim_m);

// --- recipes.c, revision.c, weigh.c, lots.c: shapes of docs/api.md ---
ep_status ep_shape_recipe(ep_app *app, const char *recipe_id, json_t **out, ep_err *err);
ep_status ep_shape_recipe_line(ep_app *app, const char *recipe_id, json_t **out, ep_err *err);
ep_status ep_shape_revision(ep_app *app, const ep_revision *r, json_t **out, ep_err *err);
/// loss_frac etc. as ep_weighout_make.
ep_status ep_shape_weighout(ep_app *app, const ep_revision *r, int candles, double loss_frac,
                            double residue_kg, double resolution_kg, json_t **out, ep_err *err);
ep_status ep_shape_lot(ep_app *app, const char *lot_id, json_t **out, ep_err *err);
/// Insert `r` as its recipe's next number (r->id and r->number are set). note may be NULL.
ep_status ep_revision_save(ep_app *app, ep_revision *r, const char *note, ep_err *err);

// --- demo.c ---
/// Fill an empty workshop with the invented demo; called inside one write transaction.
ep_status ep_demo_fill(ep_app *app, ep_err *err);
