// The demo's pours and burn sessions. Readings follow a small picture of a burning candle: the pool
// grows with the minute and from session to session, everything gets hotter as the level drops, and
// a little scatter lies on top. It is a picture to look at, not physics: the engine is elsewhere.
#include <math.h>
#include <string.h>

#include "app/bench_int.h"
#include "app/demo_int.h"
#include "base/text.h"

enum { MOST_CANDLES = 6, MOST_SESSIONS = 14 };

/// How one wick size behaves in the demo. "Gain" is the change from the full jar to the empty one.
typedef struct wick {
    const char *size;
    double rate_g_h, rate_gain;
    double reach, reach_gain;  ///< pool at 4 h as a share of the width; may exceed 1
    double depth_mm, depth_gain;
    double flame_mm, flame_gain;
    double wall_C, wall_gain;
    int soot_late, mushroom_late;  ///< grades in the second half
} wick;

typedef struct candle {
    char code[16];
    const wick *wick;
    double mass_g, wax_g, left_g;
    int sessions;
} candle;

/// Candles of one pour that are burned together, in a straight container.
typedef struct programme {
    double inner_mm, session_h;
    bool drawn;  ///< there are drawings of these
    int n;
    candle candle[MOST_CANDLES];
} programme;

static const wick flat3 = {"Flat 3", 3.1, 0.06, 0.64, 0.16, 3.2, 1.5, 15.0, 1.5, 36.0, 5.0, 0, 1};
static const wick flat5 = {"Flat 5", 4.2, 0.07, 0.88, 0.24, 5.5, 3.0, 22.0, 3.0, 43.0, 9.0, 0, 1};
static const wick flat7 = {"Flat 7", 5.7, 0.12, 1.04, 0.20, 9.5, 9.0, 31.0, 6.0, 55.0, 22.0, 2, 2};
static const wick cored4 = {"Cored 4", 3.7, 0.05, 0.86, 0.10, 3.8, 2.0, 19.0, 2.0, 38.0, 7.0, 0, 0};
static const wick cored5 = {"Cored 5", 4.5, 0.06, 0.90, 0.18, 5.4, 2.5, 24.0, 3.0, 42.0, 9.0, 0, 1};

// --- the picture ---

static double noise(ep_demo *d, double sd)
{
    return sd * ep_rng_normal(&d->scatter);
}

// growth over a session: fast at first, 1 at four hours
static double grown(double minute)
{
    return (1.0 - exp(-minute / 70.0)) / (1.0 - exp(-240.0 / 70.0));
}

static double burned_share(const candle *c)
{
    return 1.0 - c->left_g / c->wax_g;
}

static double rate_g_h(ep_demo *d, const candle *c)
{
    double first = c->sessions == 1 ? 0.93 : 1.0;  // a fresh wick is not yet soaked
    return c->wick->rate_g_h * first * (1.0 + c->wick->rate_gain * burned_share(c)) *
           (1.0 + noise(d, 0.015));
}

static double half_mm(double mm)
{
    return round(mm * 2.0) / 2.0;
}

/// Where readings of one candle at one minute go.
typedef struct sheet {
    ep_demo *d;
    json_t *list;
    const programme *p;
    const candle *c;
    const char *session;
    double minute;
} sheet;

static void reading(const sheet *s, ep_reading_kind kind, double value)
{
    char id[EP_ID_CAP];
    ep_demo_id(s->d, id);
    json_array_append_new(s->list, json_pack("{s:s, s:s, s:s, s:s, s:f, s:f}", "id", id, "session",
                                             s->session, "candle", s->c->code, "kind",
                                             ep_reading_def_of(kind)->key, "value",
                                             fmax(value, 0.0), "minute", s->minute));
}

static void read_pool(const sheet *s)
{
    const wick *w = s->c->wick;
    double u = burned_share(s->c), g = grown(s->minute), minute = s->minute;
    double reach =
        fmin(1.0, (w->reach + w->reach_gain * fmin(1.0, 1.6 * u)) * g + noise(s->d, 0.006));
    double wide = round(s->p->inner_mm * fmin(1.0, reach + 0.015));
    double narrow = round(s->p->inner_mm * fmax(0.0, reach - 0.015));
    reading(s, EP_READ_POOL_WIDE, wide);
    reading(s, EP_READ_POOL_NARROW, fmin(narrow, wide));
    if (minute >= 60.0) {
        reading(s, EP_READ_POOL_AT_WALL, narrow >= s->p->inner_mm - 1.0);
    }
    if (minute >= 239.0) {
        double depth_mm = w->depth_mm + w->depth_gain * u + noise(s->d, 0.2);
        double ring_mm = fmax(0.0, 0.5 * s->p->inner_mm * (1.0 - reach));
        reading(s, EP_READ_POOL_DEPTH, half_mm(depth_mm));
        reading(s, EP_READ_HANGUP_THICK, half_mm(ring_mm));
    }
}

static void read_flame(const sheet *s)
{
    const wick *w = s->c->wick;
    double u = burned_share(s->c), g = grown(s->minute), minute = s->minute;
    double flame_mm = (w->flame_mm + w->flame_gain * u) * (0.75 + 0.25 * g) + noise(s->d, 0.7);
    reading(s, EP_READ_FLAME, round(flame_mm));
    if (minute < 15.0) {
        reading(s, EP_READ_FLICKER, 0);
        reading(s, EP_READ_SMOKE, 0);
    }
    if (minute >= 60.0) {
        double wall_C = 21.0 + (w->wall_C + w->wall_gain * u - 21.0) * (0.4 + 0.6 * g);
        reading(s, EP_READ_WALL_TEMP, round(wall_C + noise(s->d, 0.5)));
    }
    if (minute >= 239.0) {
        // soot and carbon show once the jar shelters the flame
        reading(s, EP_READ_MUSHROOM, u > 0.3 ? w->mushroom_late : 0);
        reading(s, EP_READ_SOOT, u > 0.25 ? w->soot_late : 0);
    }
}

// --- steps ---

static int candle_of(const programme *p, const char *code)
{
    for (int i = 0; i < p->n; i++) {
        if (strcmp(p->candle[i].code, code) == 0) {
            return i;
        }
    }
    return -1;
}

// with the reading of the pool, as a maker would take it
static ep_status draw_all(ep_demo *d, const programme *p, const json_t *readings, double minute,
                          ep_err *err)
{
    const char *pool = ep_reading_def_of(EP_READ_POOL_WIDE)->key;
    ep_status status = EP_OK;
    size_t i;
    const json_t *one;
    json_array_foreach(readings, i, one)
    {
        int at = candle_of(p, ep_row_text(one, "code"));
        if (status == EP_OK && at >= 0 && strcmp(ep_row_text(one, "kind"), pool) == 0) {
            const candle *c = &p->candle[at];
            status =
                ep_demo_drawing(d, c->wick->size, c->sessions, minute, ep_row_text(one, "id"), err);
        }
    }
    return status;
}

static ep_status read_all(ep_demo *d, const programme *p, unsigned lit, const char *session,
                          double minute, ep_err *err)
{
    json_t *list = json_array(), *answer = NULL;
    for (int i = 0; i < p->n; i++) {
        if (lit & (1u << i)) {
            sheet s = {d, list, p, &p->candle[i], session, minute};
            read_flame(&s);
            if (minute >= 15.0) {
                read_pool(&s);
            }
        }
    }
    ep_status status =
        ep_demo_call(d, "reading_batch", json_pack("{s:o}", "readings", list), &answer, err);
    size_t i;
    json_t *one;
    json_array_foreach(json_object_get(answer, "readings"), i, one)
    {
        const json_t *bad = json_object_get(one, "error");
        if (bad && status == EP_OK) {
            status =
                ep_err_set(err, EP_E_STATE, "demo", "demo, readings: %s", ep_row_text(bad, "text"));
        }
    }
    if (status == EP_OK && p->drawn) {
        status = draw_all(d, p, json_object_get(answer, "readings"), minute, err);
    }
    json_decref(answer);
    return status;
}

static json_t *masses_of(const programme *p, unsigned lit)
{
    json_t *masses = json_object();
    for (int i = 0; i < p->n; i++) {
        if (lit & (1u << i)) {
            double mass_g = round(p->candle[i].mass_g * 10.0) / 10.0;
            json_object_set_new(masses, p->candle[i].code, json_real(mass_g));
        }
    }
    return masses;
}

static ep_status light(ep_demo *d, programme *p, unsigned lit, char session[EP_ID_CAP], ep_err *err)
{
    json_t *codes = json_array(), *answer = NULL;
    for (int i = 0; i < p->n; i++) {
        if (lit & (1u << i)) {
            json_array_append_new(codes, json_string(p->candle[i].code));
            p->candle[i].sessions++;
        }
    }
    double room_C = round((21.0 + noise(d, 0.8)) * 2.0) / 2.0;
    json_t *in =
        json_pack("{s:o, s:f, s:f, s:i, s:f, s:o}", "candles", codes, "planned", p->session_h,
                  "room_temp", room_C, "draught", 0, "trim", 5.0, "masses", masses_of(p, lit));
    ep_status status = ep_demo_call(d, "session_light", in, &answer, err);
    ep_copy(session, EP_ID_CAP, ep_row_text(answer, "id"));
    json_decref(answer);
    return status;
}

static ep_status put_out(ep_demo *d, programme *p, unsigned lit, const char *session, ep_err *err)
{
    for (int i = 0; i < p->n; i++) {
        if (lit & (1u << i)) {
            candle *c = &p->candle[i];
            double burned_g = rate_g_h(d, c) * p->session_h;
            c->mass_g -= burned_g;
            c->left_g -= burned_g;
        }
    }
    return ep_demo_call(d, "session_end",
                        json_pack("{s:s, s:o}", "id", session, "masses", masses_of(p, lit)), NULL,
                        err);
}

/// A session lit `days` ago plus `hour`; readings up to `until_min`, then put out unless it is the
/// one still burning.
static ep_status burn(ep_demo *d, programme *p, unsigned lit, double days, double hour,
                      double until_min, bool still_lit, ep_err *err)
{
    static const double minutes[] = {5.0, 30.0, 60.0, 120.0, 180.0, 240.0};
    char session[EP_ID_CAP] = "";
    ep_demo_at(d, days, hour);
    ep_status status = light(d, p, lit, session, err);
    for (int i = 0; status == EP_OK && i < EP_COUNT_OF(minutes); i++) {
        if (minutes[i] <= until_min) {
            ep_demo_at(d, days, hour + minutes[i] / 60.0);
            status = read_all(d, p, lit, session, minutes[i], err);
        }
    }
    if (status == EP_OK && !still_lit) {
        ep_demo_at(d, days, hour + p->session_h);
        status = put_out(d, p, lit, session, err);
    }
    return status;
}

// the candles of a pour's answer, in its order, that have one of these wicks
static void take_candles(programme *p, const json_t *pour, const wick *const *wicks, int n_wicks,
                         double empty_g)
{
    size_t i;
    json_t *c;
    json_array_foreach(json_object_get(pour, "candles"), i, c)
    {
        for (int k = 0; k < n_wicks && p->n < MOST_CANDLES; k++) {
            if (strcmp(wicks[k]->size, ep_row_text(c, "size_name")) == 0) {
                candle *to = &p->candle[p->n++];
                *to = (candle){.wick = wicks[k], .wax_g = ep_row_real(c, "wax_mass_g")};
                ep_copy(to->code, sizeof to->code, ep_row_text(c, "code"));
                to->left_g = to->wax_g;
                to->mass_g = empty_g + to->wax_g + 0.4 * (double)i;
            }
        }
    }
}

static ep_status finish(ep_demo *d, const programme *p, unsigned which, const char *reason,
                        ep_err *err)
{
    ep_status status = EP_OK;
    for (int i = 0; status == EP_OK && i < p->n; i++) {
        if (which & (1u << i)) {
            status = ep_demo_call(
                d, "candle_finish",
                json_pack("{s:s, s:s}", "id", p->candle[i].code, "reason", reason), NULL, err);
        }
    }
    return status;
}

/// Session after session, a day apart, until the wax is nearly used up.
static ep_status burn_down(ep_demo *d, programme *p, unsigned lit, double from_day, int already,
                           double stop_g, ep_err *err)
{
    ep_status status = EP_OK;
    int first = 0;
    while (!(lit & (1u << first))) {
        first++;
    }
    for (int s = already; status == EP_OK && s < MOST_SESSIONS; s++) {
        if (p->candle[first].left_g < stop_g) {
            break;
        }
        status = burn(d, p, lit, from_day - s, 0.0, 240.0, false, err);
    }
    return status == EP_OK ? finish(d, p, lit, "end", err) : status;
}

// --- the proven recipe ---

static json_t *pour_of(const char *recipe, json_t *set, const char *text)
{
    // text: what was weighed and measured, as JSON without its braces
    char buf[400];
    snprintf(buf, sizeof buf, "{%s}", text);
    json_t *in = json_loads(buf, 0, NULL);
    json_object_set_new(in, "recipe", json_string(recipe));
    json_object_set_new(in, "set", set);
    return in;
}

static json_t *set_entry(const char *size, int candles)
{
    return json_pack("{s:s, s:i}", "size", size, "candles", candles);
}

// three sizes, one candle each: one too small, one that fits, one too hot
static ep_status fig_bracket(ep_demo *d, ep_err *err)
{
    static const wick *const wicks[] = {&flat3, &flat5, &flat7};
    programme p = {.inner_mm = 68.0, .session_h = 4.0, .drawn = true};
    json_t *pour = NULL;
    json_t *set = json_pack("[o, o, o]", set_entry("Flat 3", 1), set_entry("Flat 5", 1),
                            set_entry("Flat 7", 1));
    ep_demo_at(d, 70.0, 0.0);
    ep_status status = ep_demo_call(
        d, "pour_add",
        pour_of("Fig evening", set,
                "\"wax_mass\": 601, \"fragrance_mass\": 48.2, \"wax_peak\": 81, \"add_temp\": 76,"
                "\"pour_temp\": 58, \"vessel_temp\": 30, \"room_temp\": 21, \"humidity\": 45,"
                "\"lots\": [\"W-101\", \"F-201\", \"K-301\", \"G-401\"]"),
        &pour, err);
    take_candles(&p, pour, wicks, EP_COUNT_OF(wicks), 233.6);
    json_decref(pour);
    for (int s = 0; status == EP_OK && s < 4; s++) {
        status = burn(d, &p, 7u, 55.0 - s, 0.0, 240.0, false, err);
    }
    if (status == EP_OK) {
        status = finish(d, &p, 5u, "given_up", err);
    }
    return status == EP_OK ? burn_down(d, &p, 2u, 55.0, 4, 36.0, err) : status;
}

// two more of the size that fitted, and the decision
static ep_status fig_proof(ep_demo *d, ep_err *err)
{
    static const wick *const wicks[] = {&flat5};
    programme p = {.inner_mm = 68.0, .session_h = 4.0};
    json_t *pour = NULL;
    ep_demo_at(d, 46.0, 0.0);
    ep_status status = ep_demo_call(
        d, "pour_add",
        pour_of("Fig evening", json_pack("[o]", set_entry("Flat 5", 2)),
                "\"wax_mass\": 402, \"fragrance_mass\": 32.1, \"wax_peak\": 80, \"add_temp\": 77,"
                "\"pour_temp\": 57, \"vessel_temp\": 29, \"room_temp\": 22, \"humidity\": 41,"
                "\"lots\": [\"W-101\", \"F-201\", \"K-301\", \"G-401\"]"),
        &pour, err);
    take_candles(&p, pour, wicks, EP_COUNT_OF(wicks), 231.9);
    json_decref(pour);
    if (status == EP_OK) {
        status = burn_down(d, &p, 3u, 31.0, 0, 36.0, err);
    }
    ep_demo_at(d, 19.0, 0.0);
    return status == EP_OK
               ? ep_demo_call(d, "decide",
                              json_pack("{s:s, s:s, s:s, s:s}", "id", "Fig evening", "size",
                                        "Flat 5", "decision", "proven", "note",
                                        "Three candles to the end; the glass stays cool."),
                              NULL, err)
               : status;
}

// --- the recipe in the middle of its tests ---

// lit now, with the reading at two hours waiting
static const double lit_for_h = 2.0 + 7.0 / 60.0;

static ep_status orange_burns(ep_demo *d, programme *p, ep_err *err)
{
    ep_status status = EP_OK;
    for (int day = 3; status == EP_OK && day >= 1; day--) {
        status = burn(d, p, 3u, day, -lit_for_h, 240.0, false, err);
    }
    if (status == EP_OK) {
        // the second candle of the larger wick burned this morning and rests
        status = burn(d, p, 4u, 0.0, -10.0, 240.0, false, err);
    }
    return status == EP_OK ? burn(d, p, 3u, 0.0, -lit_for_h, 90.0, true, err) : status;
}

static ep_status orange(ep_demo *d, ep_err *err)
{
    static const wick *const wicks[] = {&cored4, &cored5};
    programme p = {.inner_mm = 71.0, .session_h = 4.0};
    json_t *pour = NULL, *set = json_array();
    json_array_append_new(set, set_entry("Cored 4", 1));
    json_array_append_new(set, set_entry("Cored 5", 2));
    json_array_append_new(set, set_entry("Cored 6", 1));
    ep_demo_at(d, 13.0, 0.0);
    ep_status status = ep_demo_call(
        d, "pour_add",
        pour_of("Orange kitchen", set,
                "\"wax_mass\": 470, \"fragrance_mass\": 32.9, \"wax_peak\": 78, \"add_temp\": 71,"
                "\"pour_temp\": 58, \"vessel_temp\": 24, \"room_temp\": 20.5, \"humidity\": 48,"
                "\"lots\": [\"W-102\", \"F-202\", \"K-302\"]"),
        &pour, err);
    take_candles(&p, pour, wicks, EP_COUNT_OF(wicks), 31.3);
    json_decref(pour);
    if (status == EP_OK) {
        status = orange_burns(d, &p, err);
    }
    // a later pour still cures
    ep_demo_at(d, 1.2, 0.0);
    return status == EP_OK
               ? ep_demo_call(
                     d, "pour_add",
                     pour_of("Orange kitchen", json_pack("[o]", set_entry("Cored 3", 2)),
                             "\"wax_mass\": 236, \"fragrance_mass\": 16.5, \"add_temp\": 70,"
                             "\"pour_temp\": 57, \"lots\": [\"W-102\", \"F-202\"]"),
                     NULL, err)
               : status;
}

ep_status ep_demo_burns(ep_demo *d, ep_err *err)
{
    ep_status status = fig_bracket(d, err);
    if (status == EP_OK) {
        status = fig_proof(d, err);
    }
    if (status == EP_OK) {
        status = orange(d, err);
    }
    return status;
}
