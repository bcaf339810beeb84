// The make-believe app: names what it was called with.
#include "tiny.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "app/devices.h"
#include "app/verify.h"

static ep_status echo(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)app;
    (void)err;
    *out = json_pack("{s:O}", "in", (json_t *)(size_t)in);
    return *out ? EP_OK : EP_E_MEMORY;
}

static ep_status fail(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)app;
    (void)out;
    const char *id = json_string_value(json_object_get(in, "id"));
    return ep_err_set(err, (ep_status)atoi(id), "a_field", "told to fail with %s", id);
}

static ep_status slow(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    struct timespec t = {.tv_nsec = 200 * 1000 * 1000};
    nanosleep(&t, NULL);
    return echo(app, in, out, err);
}

static const ep_field list_fields[] = {
    {.name = "kind", .kind = EP_FIELD_CHOICE, .choices = "wax|wick", .label = "kind"},
    {.name = "count", .kind = EP_FIELD_INT, .min = 1, .max = 9, .label = "count"},
};
static const ep_field id_field[] = {
    {.name = "id", .kind = EP_FIELD_ID, .required = true, .path = true, .label = "id"},
};
static const ep_field add_items[] = {
    {.name = "height",
     .kind = EP_FIELD_QUANTITY,
     .unit = EP_U_MM,
     .min = 0,
     .max = 300,
     .required = true,
     .label = "height"},
};
static const ep_field add_fields[] = {
    {.name = "name",
     .kind = EP_FIELD_TEXT,
     .max = 80,
     .required = true,
     .label = "name",
     .help = "\"My jar\""},
    {.name = "wall",
     .kind = EP_FIELD_QUANTITY,
     .unit = EP_U_MM,
     .min = 0.1,
     .max = 30,
     .label = "wall",
     .help = "\"4 mm\""},
    {.name = "points", .kind = EP_FIELD_LIST, .label = "points", .item = add_items, .n_items = 1},
    {.name = "value", .kind = EP_FIELD_VALUE, .label = "value"},
    {.name = "when", .kind = EP_FIELD_TIME, .label = "when"},
    {.name = "open", .kind = EP_FIELD_BOOL, .label = "open"},
};
static const ep_field rename_fields[] = {
    {.name = "id", .kind = EP_FIELD_ID, .required = true, .path = true, .label = "id"},
    {.name = "name", .kind = EP_FIELD_TEXT, .required = true, .label = "name"},
};

#define FIELDS(a) (a), (int)(sizeof(a) / sizeof((a)[0]))

static const ep_use_case cases[] = {
    {"thing_list", "GET", "/api/things", "thing", "list", EP_NEEDS_READ, FIELDS(list_fields), echo,
     "List things", NULL},
    {"thing_add", "POST", "/api/things", "thing", "add", EP_NEEDS_WRITE, FIELDS(add_fields), echo,
     "Add a thing", NULL},
    {"thing_batch", "POST", "/api/things/batch", "thing", "add-many", EP_NEEDS_WRITE,
     FIELDS(add_fields), echo, "Add things", NULL},
    {"thing_show", "GET", "/api/things/{id}", "thing", "show", EP_NEEDS_READ, FIELDS(id_field),
     echo, "Show a thing", NULL},
    {"thing_rename", "POST", "/api/things/{id}/rename", "thing", "rename", EP_NEEDS_WRITE,
     FIELDS(rename_fields), echo, "Rename a thing", NULL},
    {"fail", "GET", "/api/fail/{id}", "fail", "", EP_NEEDS_READ, FIELDS(id_field), fail, "Fail",
     NULL},
    {"slow", "GET", "/api/slow", "slow", "", EP_NEEDS_COMPUTE, NULL, 0, slow, "Take a while", NULL},
};

const ep_use_case *tiny_cases(int *n)
{
    *n = (int)(sizeof cases / sizeof cases[0]);
    return cases;
}

const ep_use_case *ep_use_cases(int *n)
{
    return tiny_cases(n);
}

static const ep_field *find(const ep_use_case *c, const char *key)
{
    for (int i = 0; i < c->n_fields; i++) {
        if (strcmp(c->field[i].name, key) == 0) {
            return &c->field[i];
        }
    }
    return NULL;
}

ep_status ep_fields_check(const ep_field *field, int n, const json_t *in, const char *prefix,
                          json_t **out, ep_err *err)
{
    (void)prefix;
    for (int i = 0; i < n; i++) {
        if (field[i].required && !json_object_get(in, field[i].name)) {
            return ep_err_set(err, EP_E_ARG, field[i].name, "%s: is needed", field[i].name);
        }
    }
    *out = json_deep_copy(in);
    return *out ? EP_OK : EP_E_MEMORY;
}

ep_status ep_app_call(ep_app *app, const ep_use_case *c, const json_t *in, json_t **out,
                      ep_err *err)
{
    json_t *all = (json_t *)(size_t)in;
    const char *key = NULL;
    json_t *v = NULL;
    json_object_foreach(all, key, v)
    {
        if (!find(c, key)) {
            return ep_err_set(err, EP_E_ARG, key, "%s: there is no such field", key);
        }
    }
    for (int i = 0; i < c->n_fields; i++) {
        if (c->field[i].required && !json_object_get(in, c->field[i].name)) {
            return ep_err_set(err, EP_E_ARG, c->field[i].name, "%s: is needed", c->field[i].name);
        }
    }
    return c->fn(app, in, out, err);
}

ep_status ep_app_call_for(ep_app *app, const ep_waiter *w, const ep_use_case *c, const json_t *in,
                          json_t **out, ep_err *err)
{
    (void)w;
    return ep_app_call(app, c, in, out, err);
}

json_t *ep_field_from_text(const ep_field *f, const char *text, ep_err *err)
{
    double v = 0;
    if (f->kind == EP_FIELD_INT) {
        if (!ep_number_parse(text, &v)) {
            ep_err_set(err, EP_E_PARSE, f->name, "%s: '%s' is no number", f->name, text);
            return NULL;
        }
        return json_integer((json_int_t)v);
    }
    if (f->kind == EP_FIELD_BOOL) {
        return json_boolean(strcmp(text, "true") == 0);
    }
    return json_string(text);
}

ep_status ep_app_open(const ep_app_config *config, ep_app **app, ep_err *err)
{
    (void)config;
    (void)err;
    *app = NULL;
    return EP_OK;
}

void ep_app_close(ep_app *app)
{
    (void)app;
}

ep_status ep_verify_run(const char *text, char **out, ep_err *err)
{
    (void)err;
    *out = strdup(text);
    return *out ? EP_OK : EP_E_MEMORY;
}

const char *ep_who_name(ep_who who)
{
    return who == EP_WHO_HERE ? "here" : "device";
}

ep_who ep_case_who(const ep_use_case *c)
{
    return strcmp(c->method, "GET") == 0 ? EP_WHO_BENCH : EP_WHO_ALL;
}

ep_status ep_visitor_of_token(ep_app *app, const char *token, ep_visitor *out, ep_err *err)
{
    (void)app;
    (void)token;
    (void)out;
    return ep_err_set(err, EP_E_DENIED, "device", "there are no devices here");
}

ep_time_ms ep_app_time(const ep_app *app)
{
    (void)app;
    return 0;
}
