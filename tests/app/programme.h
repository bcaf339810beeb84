// A test programme in a few lines: pour, cure, burn a day at a time with plain readings. The
// figures are invented for the tests.
#pragma once
#include "workshop.h"

typedef struct behaviour {
    double rate_g_h, reach_first, reach_gain, depth_mm, flame_mm, wall_C;
} behaviour;

static const behaviour fits = {4.5, 0.90, 0.03, 7.0, 24.0, 50.0};
static const behaviour too_small = {3.0, 0.62, 0.01, 3.0, 15.0, 38.0};

typedef struct programme {
    int n, sessions;
    char code[4][16];
    double mass_g[4], wax_g;
} programme;

static inline programme programme_pour(workshop *w, const char *size, int n, double cure_h)
{
    programme p = {.n = n};
    pour_some(w, size, n);
    p.wax_g = real_at(w->last, "candles.0.wax_mass_g");
    for (int i = 0; i < n; i++) {
        char path[32];
        snprintf(path, sizeof path, "candles.%d.code", i);
        copy_text(p.code[i], sizeof p.code[i], w->last, path);
        p.mass_g[i] = 240.0 + p.wax_g;
    }
    pass_hours(w, cure_h);
    return p;
}

static inline void programme_read(workshop *w, const programme *p, const behaviour *b, int i)
{
    double reach = fmin(1.0, b->reach_first + b->reach_gain * p->sessions);
    double pool_mm = floor(70.0 * reach);
    call(w, "reading_batch",
         "{'readings': [{'candle': '%s', 'kind': 'pool_wide', 'value': %g},"
         "{'candle': '%s', 'kind': 'pool_narrow', 'value': %g},"
         "{'candle': '%s', 'kind': 'pool_depth', 'value': %g},"
         "{'candle': '%s', 'kind': 'flame', 'value': %g},"
         "{'candle': '%s', 'kind': 'wall_temp', 'value': %g},"
         "{'candle': '%s', 'kind': 'soot', 'value': 0}, {'candle': '%s', 'kind': 'mushroom', "
         "'value': 0},"
         "{'candle': '%s', 'kind': 'smoke', 'value': 0}]}",
         p->code[i], pool_mm, p->code[i], pool_mm, p->code[i], b->depth_mm, p->code[i],
         b->flame_mm + 0.5 * i, p->code[i], b->wall_C + 0.5 * i, p->code[i], p->code[i],
         p->code[i]);
    for (size_t k = 0; k < 8; k++) {
        json_t *bad = json_object_get(json_array_get(at(w->last, "readings"), k), "error");
        if (bad) {
            fail_msg("%s", text_at(bad, "text"));
        }
    }
}

/// `n` sessions of 4 h, one a day.
static inline void programme_burn(workshop *w, programme *p, const behaviour *b, int n)
{
    for (int s = 0; s < n; s++) {
        char codes[100] = "", before[200] = "", after[200] = "", id[EP_ID_CAP];
        for (int i = 0; i < p->n; i++) {
            const char *comma = i ? ", " : "";
            size_t c = strlen(codes), x = strlen(before), y = strlen(after);
            snprintf(codes + c, sizeof codes - c, "%s'%s'", comma, p->code[i]);
            snprintf(before + x, sizeof before - x, "%s'%s': %.1f", comma, p->code[i],
                     p->mass_g[i]);
            p->mass_g[i] -= 4.0 * b->rate_g_h;
            snprintf(after + y, sizeof after - y, "%s'%s': %.1f", comma, p->code[i], p->mass_g[i]);
        }
        call(w, "session_light", "{'candles': [%s], 'masses': {%s}, 'room_temp': 21, 'draught': 0}",
             codes, before);
        copy_text(id, sizeof id, w->last, "id");
        pass_hours(w, 4);
        for (int i = 0; i < p->n; i++) {
            programme_read(w, p, b, i);
        }
        call(w, "session_end", "{'id': '%s', 'masses': {%s}}", id, after);
        p->sessions++;
        pass_hours(w, 20);
    }
}

/// Until less than a tenth of the wax is left, then finished.
static inline void programme_to_the_end(workshop *w, programme *p, const behaviour *b)
{
    while (p->mass_g[0] - 240.0 > 0.15 * p->wax_g) {
        programme_burn(w, p, b, 1);
    }
    for (int i = 0; i < p->n; i++) {
        call(w, "candle_finish", "{'id': '%s', 'reason': 'end'}", p->code[i]);
    }
}
