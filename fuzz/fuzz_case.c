// Any bytes as the input of any use case, and as the command line's text for any field: never a
// crash or a leak; a case either answers or explains in clean text; nothing stays open; a refused
// write leaves the book's checks satisfied.
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int holds)
{
    if (!holds) {
        abort();
    }
}

static ep_time_ms noon(void *ctx)
{
    (void)ctx;
    return 1795608000000;
}

static void setup(ep_app *app, const char *name, const char *text)
{
    json_t *in = json_loads(text, 0, NULL), *out = NULL;
    must(ep_app_call(app, ep_use_case_find(name), in, &out, NULL) == EP_OK);
    json_decref(in);
    json_decref(out);
}

/// A small workshop in memory, so that names in the corpus lead somewhere.
static ep_app *open_workshop(void)
{
    ep_app *app = NULL;
    ep_app_config config = {.db_path = ":memory:", .clock = {noon, NULL}};
    must(ep_app_open(&config, &app, NULL) == EP_OK);
    setup(app, "container_add",
          "{\"name\": \"glass\", \"material\": \"std-container-soda-lime\", \"inner_diameter\": 70,"
          " \"height\": 80, \"wall\": 3}");
    setup(app, "series_add",
          "{\"name\": \"flat\", \"construction\": \"std-wick-flat-braid\","
          " \"sizes\": \"1 = 0.8; 2 = 1.1\"}");
    setup(app, "recipe_add",
          "{\"name\": \"fig\", \"container\": \"glass\", \"waxes\": \"std-wax-soy\","
          " \"series\": \"flat\"}");
    return app;
}

/// The call runs inside a transaction that is undone, so that every input meets the same workshop.
static void try_call(ep_app *app, const ep_use_case *c, const json_t *in)
{
    json_t *out = NULL;
    ep_err err = {0};
    must(ep_app_begin(app, true, "fuzz", NULL) == EP_OK);
    ep_status status = ep_app_call(app, c, in, &out, &err);
    must((status == EP_OK) == (out != NULL));
    must(status == EP_OK || (err.text[0] && ep_text_clean(err.text) && err.status == status));
    must(status != EP_E_DB && ep_store_depth(app->store) == 1);
    must(c->needs != EP_NEEDS_WRITE || ep_store_check(app->store, NULL) == EP_OK);
    (void)ep_app_end(app, EP_E_STATE, NULL);
    json_decref(out);
}

static void try_field(const ep_use_case *c, const ep_field *f, const char *text)
{
    ep_err err = {0}, refused = {0};
    json_t *value = ep_field_from_text(f, text, &err);
    must(value || (err.text[0] && ep_text_clean(err.text)));
    if (value) {
        json_t *in = json_pack("{s:o}", f->name, value), *checked = NULL;
        ep_status status = ep_fields_check(c->field, c->n_fields, in, "", &checked, &refused);
        must(status == EP_OK || (refused.text[0] && ep_text_clean(refused.text) && !checked));
        json_decref(checked);
        json_decref(in);
    }
}

/// The first line names the case; a name there is not picks one all the same.
static const ep_use_case *pick_case(char *text, char **rest)
{
    char *line = strchr(text, '\n');
    *rest = line ? line + 1 : text;
    if (line) {
        *line = '\0';
    }
    const ep_use_case *c = ep_use_case_find(text);
    int n;
    const ep_use_case *table = ep_use_cases(&n);
    return c ? c : &table[(unsigned char)text[0] % (unsigned)n];
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static ep_app *app;  // opened once: every call is undone
    char *rest, *text = malloc(size + 1);
    must(text != NULL);
    memcpy(text, data, size);
    text[size] = '\0';
    app = app ? app : open_workshop();
    const ep_use_case *c = pick_case(text, &rest);
    json_t *in = json_loads(rest, JSON_REJECT_DUPLICATES, NULL);
    // what computes is fuzzed in its own room: one run there takes longer than a thousand here
    if (json_is_object(in) && c->needs != EP_NEEDS_COMPUTE) {
        try_call(app, c, in);
    }
    for (int i = 0; i < c->n_fields; i++) {
        try_field(c, &c->field[i], rest);
    }
    json_decref(in);
    free(text);
    return 0;
}
