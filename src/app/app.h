/// Use cases: what both doors call. One table; each case takes a JSON object of checked values and
/// gives one back. Contract of every case: docs/api.md.
/// Needs: every room below, jansson. Thread use: one ep_app may be called from many threads;
/// ep_app_call takes the database lock unless the case is marked EP_NEEDS_COMPUTE (it then locks
/// only while it loads and saves).
#pragma once
#include <jansson.h>
#include <stdbool.h>

#include "base/clock.h"
#include "base/status.h"
#include "base/units.h"

typedef struct ep_app ep_app;

typedef struct ep_app_config {
    const char *db_path;  ///< created when it does not exist
    ep_clock clock;
    bool demo;  ///< fill an empty database with the demo workshop
} ep_app_config;

ep_status ep_app_open(const ep_app_config *config, ep_app **app, ep_err *err);
void ep_app_close(ep_app *app);

typedef enum ep_field_kind {
    EP_FIELD_TEXT,
    EP_FIELD_ID,  ///< an id, a name or a code; the case resolves it
    EP_FIELD_BOOL,
    EP_FIELD_INT,
    EP_FIELD_QUANTITY,  ///< handed to the case as a JSON real in SI
    EP_FIELD_CHOICE,    ///< one of `choices`, "a|b|c"
    EP_FIELD_TIME,      ///< handed over as JSON integer, milliseconds
    EP_FIELD_LIST,      ///< an array, or text "name: value, name: value" (see `item`)
    EP_FIELD_OBJECT,  ///< name -> value; with a `unit` the values are quantities, handed over in SI
    EP_FIELD_VALUE,   ///< text, number or yes/no, handed over as it came: its unit depends on
                      ///< another field, so the case reads it
    EP_FIELD_FILE,   ///< the text of a file, handed over as it came; `max` in bytes. On the command
                     ///< line its name
    EP_FIELD_BYTES,  ///< any bytes, in base64 (RFC 4648, padded), handed over so; `max` of what
                     ///< they say. On the command line the name of a file
} ep_field_kind;

/// One input field of a use case; drives checking, CLI options, help and the OpenAPI page.
typedef struct ep_field {
    const char *name;
    ep_field_kind kind;
    ep_unit unit;     ///< of quantities: unit of a bare number
    double min, max;  ///< in `unit` (quantities, ints); texts and lists: length; both 0 = no limit
    bool required;
    bool path;  ///< path parameter = positional argument
    bool
        word;  ///< also a positional argument, in the order of the fields, though no path parameter
    const char *choices;          ///< "a|b|c"; of an ID "uuid": made by the client, must be a UUID
    const char *label;            ///< what a person calls it
    const char *help;             ///< one line with an example
    const struct ep_field *item;  ///< fields of a list's elements; NULL = elements handed over as
                                  ///< they came (texts, or objects the case checks)
    int n_items;
} ep_field;

typedef enum ep_needs { EP_NEEDS_READ, EP_NEEDS_WRITE, EP_NEEDS_COMPUTE } ep_needs;

/// Inputs arrive checked: quantities in SI, times in ms, unknown fields refused; an optional field
/// given as null or empty text arrives as null ("take it away"), one not given does not arrive.
/// *out is owned by the caller. On error *out stays NULL and err says why.
typedef ep_status (*ep_case_fn)(ep_app *app, const json_t *in, json_t **out, ep_err *err);

typedef struct ep_use_case {
    const char *name;    ///< "recipe_add"
    const char *method;  ///< "GET" or "POST"; NULL = no route
    const char *path;    ///< "/api/recipes/{id}"
    const char *group;   ///< CLI: "recipe"
    const char *verb;    ///< CLI: "add"; "" = the group is the command; NULL = no command
    ep_needs needs;
    const ep_field *field;
    int n_fields;
    ep_case_fn fn;
    const char *summary;
    const char *gives;  ///< NULL: the answer is JSON. Else it is a file of this content type, and
                        ///< the case answers {name, text} or, of bytes, {name, base64}
} ep_use_case;

/// The whole table, sorted as help shows it.
const ep_use_case *ep_use_cases(int *n);

/// Check `in` against the case's fields, convert quantities, lock as needed, run. With err->more
/// set every mistake of the input is told, not the first alone.
ep_status ep_app_call(ep_app *app, const ep_use_case *c, const json_t *in, json_t **out,
                      ep_err *err);

/// Somebody who waits for an answer and may go away. Asked now and then while a case computes, from
/// several threads at once; false ends it with EP_E_STATE, and nothing of it is kept.
typedef struct ep_waiter {
    bool (*waits)(void *ctx);
    void *ctx;
} ep_waiter;

/// ep_app_call for somebody; `w` is borrowed for the call.
ep_status ep_app_call_for(ep_app *app, const ep_waiter *w, const ep_use_case *c, const json_t *in,
                          json_t **out, ep_err *err);

/// Check an object against fields, as ep_app_call does: unknown fields refused, quantities to SI,
/// texts trimmed. *out is a new object. Field names in errors carry `prefix` ("readings[2].", or
/// "").
ep_status ep_fields_check(const ep_field *field, int n, const json_t *in, const char *prefix,
                          json_t **out, ep_err *err);

/// CLI text of one field into the JSON value ep_app_call expects (numbers, lists, objects).
/// Lists: "a: b, c: d" or, with more than two values an element, "a: b, x; c: d, y" in the order of
/// the item's fields; '=' may stand for ':'. Text that starts with '[' or '{' is read as JSON.
/// Result owned by the caller; NULL on error.
json_t *ep_field_from_text(const ep_field *f, const char *text, ep_err *err);
