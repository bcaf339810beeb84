// Case: what if one thing were different? Two burns side by side, as recorded and as asked: quick
// ones while a page's slider moves, fine ones (grid and steps of the forecast) once it rests.
#include <math.h>
#include <string.h>

#include "app/bench_int.h"
#include "app/foresee_int.h"
#include "app/learn_int.h"
#include "app/recipe_int.h"

enum { WHATIF_SESSIONS = 3 };

// one question: what to burn, what to show of it, and who waits
typedef struct question {
    ep_app *app;
    const ep_waiter *waiter;
    const char *asker;
    int turn;
    bool fine;
    int sessions;
    const char *frames;  // "none", "session", "all"
    int shown;           // session the frames are of
} question;

static bool wanted(void *ctx)
{
    const question *q = ctx;
    const ep_waiter *w = q->waiter;
    return (!w || w->waits(w->ctx)) && ep_turns_wanted(&q->app->turns, q->asker, q->turn);
}

// pictures and samples of all sessions, or of one: the last when there are fewer
static void shape_frames(json_t *o, const question *q, const ep_trace *t, const ep_burn_case *c)
{
    int session = strcmp(q->frames, "all") == 0                   ? 0
                  : t->n_sessions > 0 && q->shown > t->n_sessions ? t->n_sessions
                                                                  : q->shown;
    ep_out_new(o, "trace", ep_shape_trace(t, session));
    ep_out_new(o, "cut", ep_shape_cut(t, c, session));
}

static json_t *shape_burn(const question *q, const ep_foresight *f, int size, const ep_trace *t,
                          const ep_burn_case *c)
{
    const ep_revision *r = &f->revision;
    json_t *o = json_object();
    ep_out_text(o, "size_id", f->series.size[size].id);
    ep_out_text(o, "size_name", f->series.size[size].name);
    ep_out_unit(o, "linear_density_g_m", f->series.size[size].linear_density_kg_m, EP_U_G_M);
    ep_out_unit(o, "inner_diameter_mm", 2.0 * ep_vessel_radius_m(&f->vessel, r->fill_height_m),
                EP_U_MM);
    ep_out_unit(o, "fill_height_mm", r->fill_height_m, EP_U_MM);
    ep_out_unit(o, "load_pct", r->load_frac, EP_U_PCT);
    ep_out_int(o, "wick_count", r->wick_count);
    ep_out_real(o, "rate_g_h", (t->fill_kg - t->left_kg) / fmax(t->burn_total_s, 1.0) * 3.6e6);
    ep_out_unit(o, "fill_g", t->fill_kg, EP_U_G);
    ep_out_new(o, "sessions", ep_shape_sessions(t));
    ep_shape_summary(o, f, t, NULL);
    if (strcmp(q->frames, "none") != 0) {
        shape_frames(o, q, t, c);
    }
    return o;
}

static ep_status burn_it(question *q, const ep_middle *m, const ep_foresight *f, int size,
                         json_t **out, ep_err *err)
{
    ep_burn_case c;
    ep_trace *t = NULL;
    ep_status s = ep_foresight_case(f, size, &c, err);
    if (s != EP_OK) {
        return s;
    }
    if (q->fine) {
        c.threads = ep_burn_case_rings(&c) ? 1 : 2;
    } else {
        ep_foresight_coarsen(&c);
    }
    c.schedule.max_sessions = q->sessions;
    c.keep_frames = strcmp(q->frames, "none") != 0;
    c.wanted = wanted;
    c.wanted_ctx = q;
    s = ep_middle_burn(m, f, size, &c, &t, err);
    if (s == EP_OK) {
        *out = shape_burn(q, f, size, t, &c);
        ep_shape_middle(*out, m, f, size, &c);
        s = ep_shape_judgement(*out, f, t, &c, err);
        ep_trace_destroy(t);
    }
    return s;
}

// wicks placed by hand keep their share of the way to the wall
static void widen(ep_foresight *f, double inner_m)
{
    ep_revision *r = &f->revision;
    double scale = ep_vessel_widen(&f->vessel, r->fill_height_m, inner_m);
    for (int i = 0; i < r->n_places; i++) {
        r->place[i].x_m *= scale;
        r->place[i].y_m *= scale;
    }
}

// the mix with another load; the only change that needs the book again
static ep_status change_load(ep_app *app, const json_t *in, ep_foresight *f, ep_err *err)
{
    if (!ep_in_has(in, "load")) {
        return EP_OK;
    }
    if (!f->revision.fragrance_id[0]) {
        return ep_err_set(err, EP_E_ARG, "load", "load: this recipe has no fragrance to load");
    }
    f->revision.load_frac = ep_in_real(in, "load", 0.0);
    ep_status s = ep_app_begin(app, false, "what if", err);
    return s == EP_OK ? ep_app_end(app, ep_app_melt_of(app, &f->revision, &f->melt, err), err) : s;
}

static ep_status change_size(const json_t *in, ep_foresight *f, int *size, ep_err *err)
{
    if (ep_in_has(in, "size")) {
        ep_err own = {0};
        ep_status s = ep_foresight_size(f, ep_in_text(in, "size"), size, &own);
        if (s != EP_OK) {
            return ep_err_as(err, &own, "size");
        }
    }
    if (ep_in_has(in, "linear_density")) {
        // width and thickness grow with the weight of the same construction
        ep_wick_size *w = &f->series.size[*size];
        double share = ep_in_real(in, "linear_density", 0.0) / w->linear_density_kg_m;
        w->linear_density_kg_m *= share;
        w->width_m *= sqrt(share);
        w->thickness_m *= sqrt(share);
    }
    return EP_OK;
}

static void change_shape(const json_t *in, ep_foresight *f)
{
    ep_revision *r = &f->revision;
    if (ep_in_has(in, "inner_diameter")) {
        widen(f, ep_in_real(in, "inner_diameter", 0.0));
    }
    r->fill_height_m = ep_in_real(in, "fill_height", r->fill_height_m);
    f->vessel.wall_m = ep_in_real(in, "wall", f->vessel.wall_m);
    r->trim_m = ep_in_real(in, "trim", r->trim_m);
    r->session_s = ep_in_real(in, "session", r->session_s);
    const int wicks_before = r->wick_count;
    r->wick_count = ep_in_int(in, "wick_count", r->wick_count);
    ep_revision_read_places(in, wicks_before, r);
}

static question ask(ep_app *app, const json_t *in)
{
    const char *detail = ep_in_text(in, "detail"), *frames = ep_in_text(in, "frames");
    question q = {.app = app,
                  .waiter = ep_app_waiter(app),
                  .asker = ep_in_text(in, "asker"),
                  .turn = ep_in_int(in, "turn", 0),
                  .fine = detail && strcmp(detail, "fine") == 0,
                  .sessions = ep_in_int(in, "sessions", WHATIF_SESSIONS),
                  .frames = frames ? frames : "none",
                  .shown = ep_in_int(in, "shown", 1)};
    ep_turns_take(&app->turns, q.asker, q.turn);
    return q;
}

static void shape_head(json_t *o, const ep_foresight *f, int size)
{
    ep_out_text(o, "recipe_id", f->recipe_id);
    ep_out_int(o, "revision", f->revision.number);
    ep_out_text(o, "size_name", f->series.size[size].name);
    ep_out_unit(o, "inner_diameter_mm",
                2.0 * ep_vessel_radius_m(&f->vessel, f->revision.fill_height_m), EP_U_MM);
    ep_out_unit(o, "load_pct", f->revision.load_frac, EP_U_PCT);
    ep_out_unit(o, "linear_density_g_m", f->series.size[size].linear_density_kg_m, EP_U_G_M);
}

ep_status ep_case_what_if(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    question q = ask(app, in);
    ep_foresight f = {0};
    int size = 0;
    ep_status s = ep_foresight_load(app, in, &f, err);
    s = s == EP_OK ? ep_foresight_size(&f, ep_in_text(in, "wick"), &size, err) : s;
    ep_foresight changed = f;
    int changed_size = size;
    s = s == EP_OK ? change_size(in, &changed, &changed_size, err) : s;
    if (s == EP_OK) {
        change_shape(in, &changed);
        s = change_load(app, in, &changed, err);
    }
    json_t *now = NULL, *then = NULL;
    ep_middle m = {0};
    s = s == EP_OK ? ep_middle_open(app, &f, 1, ep_in_text(in, "from"), &m, err) : s;
    if (s == EP_OK && ep_in_bool(in, "now", true)) {
        s = burn_it(&q, &m, &f, size, &now, err);
    }
    s = s == EP_OK ? burn_it(&q, &m, &changed, changed_size, &then, err) : s;
    ep_study_free(m.study);
    if (s != EP_OK) {
        json_decref(now);
        json_decref(then);
        return s;
    }
    json_t *o = json_object();
    shape_head(o, &f, size);
    ep_out_bool(o, "fine", q.fine);
    ep_out_new(o, "now", now ? now : json_null());
    ep_out_new(o, "then", then);
    *out = o;
    return EP_OK;
}
