// Filling an empty workshop with the invented demo: a clock of its own, ids that are always the
// same for the same day, and one call of a use case per step.
#include "app/demo_int.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/uuid.h"

static const double ms_per_h = 3600e3;

static ep_time_ms demo_now(void *ctx)
{
    return ((const ep_demo *)ctx)->now;
}

void ep_demo_at(ep_demo *d, double days_ago, double hours_later)
{
    d->now = d->today - (ep_time_ms)llround((days_ago * 24.0 - hours_later) * ms_per_h);
}

// a UUID of version 7 whose random part comes from the demo's own stream
void ep_demo_id(ep_demo *d, char id[EP_ID_CAP])
{
    uint64_t a = ep_rng_u64(&d->ids), b = ep_rng_u64(&d->ids);
    unsigned long long t = (unsigned long long)d->now & 0xffffffffffffULL;
    snprintf(id, EP_ID_CAP, "%08llx-%04llx-7%03llx-%04llx-%012llx", t >> 16, t & 0xffff,
             (unsigned long long)(a & 0xfff), 0x8000ULL | (a >> 16 & 0x3fff),
             (unsigned long long)b & 0xffffffffffffULL);
}

static bool takes_id(const ep_use_case *c)
{
    for (int i = 0; i < c->n_fields; i++) {
        if (strcmp(c->field[i].name, "id") == 0) {
            return !c->field[i].path;
        }
    }
    return false;
}

ep_status ep_demo_call(ep_demo *d, const char *name, json_t *in, json_t **out, ep_err *err)
{
    const ep_use_case *c = ep_use_case_find(name);
    json_t *answer = NULL;
    ep_err own = {0};
    if (!c) {
        json_decref(in);
        return ep_err_set(err, EP_E_STATE, "demo", "demo: there is no case %s", name);
    }
    if (takes_id(c)) {
        char id[EP_ID_CAP];
        ep_demo_id(d, id);
        json_object_set_new(in, "id", json_string(id));
    }
    ep_status status = ep_app_call(d->app, c, in, &answer, &own);
    json_decref(in);
    if (status != EP_OK) {
        return ep_err_set(err, status, own.field, "demo, %s: %s", name, own.text);
    }
    if (out) {
        *out = answer;
    } else {
        json_decref(answer);
    }
    return EP_OK;
}

ep_status ep_demo_fill(ep_app *app, ep_err *err)
{
    ep_clock real = app->clock;
    ep_demo d = {.app = app,
                 .today = ep_app_now(app),
                 .ids = ep_rng_make(20240229, 1),
                 .scatter = ep_rng_make(20240229, 2)};
    d.now = d.today;
    app->clock = (ep_clock){.now = demo_now, .ctx = &d};
    ep_status status = ep_demo_drawings_read(&d.drawings, err);
    if (status == EP_OK) {
        status = ep_demo_shelf(&d, err);
    }
    if (status == EP_OK) {
        status = ep_demo_burns(&d, err);
    }
    json_decref(d.drawings);
    app->clock = real;
    return status;
}
