// The candle in the middle: of what is believed when something was burned that shares its
// materials, of the tables' ranges before. Beside it odds speak of all the others.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/learn_int.h"
#include "base/text.h"

// --- in words ---

// how far readings of a kind stand from what the engine says, half way down the jar at the end of a
// session; "" when nobody could tell
static bool say_by(ep_text *out, ep_datum_kind k, double by)
{
    const bool more = by > 0.0;
    switch ((int)k) {
    case EP_DATUM_WIDTH:
        if (fabs(by) >= 1.0) {
            ep_text_addf(out, "pools %.0f mm %s", fabs(by), more ? "wider" : "narrower");
        }
        return fabs(by) >= 1.0;
    case EP_DATUM_WALL:
        if (fabs(by) >= 1.0) {
            ep_text_addf(out, "the outside %.0f K %s", fabs(by), more ? "hotter" : "cooler");
        }
        return fabs(by) >= 1.0;
    case EP_DATUM_FLAME:
    case EP_DATUM_RATE:
        if (fabs(by) >= 0.03) {
            ep_text_addf(out, "%s %.0f %% %s", k == EP_DATUM_FLAME ? "flames" : "burn rates",
                         100.0 * fabs(expm1(by)),
                         k == EP_DATUM_FLAME ? more ? "taller" : "shorter"
                         : more              ? "higher"
                                             : "lower");
        }
        return fabs(by) >= 0.03;
    default:
        return false;
    }
}

static void say_shift(ep_text *out, const ep_shift *s, double lit_s)
{
    static const ep_datum_kind told[] = {EP_DATUM_WIDTH, EP_DATUM_WALL, EP_DATUM_FLAME,
                                         EP_DATUM_RATE};
    const ep_place_in_life at = {0.5, lit_s / 60.0, s->size_x};
    ep_text list;
    ep_text_init(&list);
    for (size_t i = 0; i < sizeof told / sizeof *told; i++) {
        ep_text one;
        ep_text_init(&one);
        if (say_by(&one, told[i], ep_model_bias(told[i], s->bias, s->misfit, at))) {
            ep_text_addf(&list, "%s%s", list.len ? ", " : "", ep_text_str(&one));
        }
        ep_text_clear(&one);
    }
    if (list.len) {
        ep_text_addf(out,
                     " Half way down the jar your readings say %s than the engine makes of these "
                     "materials: figures and charts carry that, the picture does not.",
                     ep_text_str(&list));
    }
    ep_text_clear(&list);
}

static void say(ep_text *t, const ep_middle *m)
{
    int candles = 0;
    for (int i = 0; i < m->study->n_wicks; i++) {
        candles += m->study->wick[i].book.d.n_candles;
    }
    if (m->learned) {
        ep_text_addf(t, "From the middle of what %d burned candle%s taught%s.", candles,
                     candles == 1 ? "" : "s",
                     m->shifted ? "" : ", none of them of this recipe itself");
    } else if (m->waits) {
        ep_text_add(t, "From the middle of the tables: what the burns taught is not worked out "
                       "yet.");
    } else {
        ep_text_add(t, "From the middle of the tables, not from burns.");
    }
}

// --- found, burned, shown ---

ep_status ep_middle_open(ep_app *app, const ep_foresight *f, int seed, const char *from,
                         ep_middle *out, ep_err *err)
{
    *out = (ep_middle){0};
    if (from && strcmp(from, "tables") == 0) {
        out->study = calloc(1, sizeof *out->study);
        return out->study ? EP_OK : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    const bool wait = !from || strcmp(from, "kept") != 0;
    ep_status s = ep_study_load(app, f, &out->study, err);
    if (s == EP_OK && out->study->n_wicks > 0) {
        s = wait ? ep_study_believe(app, f, out->study, seed, false, err)
                 : ep_study_recall(app, f, out->study, seed, err);
        out->learned = s == EP_OK && out->study->belief;
        out->waits = !out->learned;
        out->shifted = out->learned && out->study->target_block >= 0;
    }
    return s;
}

static ep_shift shift_of(const ep_middle *m, const ep_foresight *f, int size)
{
    const ep_study *s = m->study;
    ep_shift shift = {.misfit = s->belief->misfit, .size_x = ep_foresight_size_x(f, size)};
    memcpy(shift.bias, s->belief->mode + ep_model_block_at(&s->model, s->target_block),
           sizeof shift.bias);
    return shift;
}

ep_status ep_middle_burn(const ep_middle *m, const ep_foresight *f, int size, ep_burn_case *c,
                         ep_trace **out, ep_err *err)
{
    if (m->learned) {
        ep_model_run target = m->study->target;
        target.burn = *c;
        c->factors = ep_study_factors(m->study, &target, m->study->belief->mean, 0.0, NULL);
    }
    ep_status s = ep_burn_run(c, out, err);
    if (s == EP_OK && m->shifted) {
        const ep_shift shift = shift_of(m, f, size);
        ep_shift_trace(*out, &shift, c->ambient_C);
    }
    return s;
}

void ep_shape_middle(json_t *out, const ep_middle *m, const ep_foresight *f, int size,
                     const ep_burn_case *c)
{
    ep_text t;
    ep_text_init(&t);
    say(&t, m);
    if (m->shifted) {
        const ep_shift shift = shift_of(m, f, size);
        say_shift(&t, &shift, c->schedule.lit_s);
    }
    json_t *o = json_object();
    ep_out_text(o, "how", m->learned ? "burns" : "tables");
    ep_out_bool(o, "waits", m->waits);
    ep_out_text(o, "text", ep_text_str(&t));
    ep_out_new(out, "made_of", o);
    if (m->learned) {
        ep_out_new(out, "learned", ep_shape_study(m->study));
    }
    ep_text_clear(&t);
}
