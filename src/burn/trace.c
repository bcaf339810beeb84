// Storage of a trace: samples grow, frames are copied from the field.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "burn/jar_int.h"

const char *ep_out_key(ep_out out)
{
    switch (out) {
    case EP_OUT_NOT:
        return "";
    case EP_OUT_DROWNED:
        return "drowned";
    case EP_OUT_STARVED:
        return "starved";
    case EP_OUT_END:
        return "end";
    }
    return "";
}

ep_status ep_trace_create(ep_trace **out)
{
    ep_trace *t = calloc(1, sizeof *t);
    if (!t) {
        return EP_E_MEMORY;
    }
    t->burn_to_stop_s = (double)NAN;
    *out = t;
    return EP_OK;
}

void ep_trace_destroy(ep_trace *t)
{
    if (!t) {
        return;
    }
    for (int n = 0; n < t->n_frames; n++) {
        free(t->frame[n].T_C);
        free(t->frame[n].melt);
    }
    free(t->sample);
    free(t);
}

ep_status ep_trace_copy(const ep_trace *t, ep_trace **out)
{
    ep_trace *c = malloc(sizeof *c);
    ep_sample *sample = malloc((size_t)(t->n_samples + 1) * sizeof *sample);
    if (!c || !sample) {
        free(c);
        free(sample);
        return EP_E_MEMORY;
    }
    if (t->n_samples > 0) {
        memcpy(sample, t->sample, (size_t)t->n_samples * sizeof *sample);
    }
    *c = *t;
    c->sample = sample;
    c->cap_samples = t->n_samples + 1;
    c->n_frames = 0;
    memset(c->frame, 0, sizeof c->frame);
    *out = c;
    return EP_OK;
}

ep_status ep_trace_add(ep_trace *t, const ep_sample *s)
{
    if (t->n_samples == t->cap_samples) {
        int cap = t->cap_samples ? 2 * t->cap_samples : 256;
        ep_sample *grown = realloc(t->sample, (size_t)cap * sizeof *grown);
        if (!grown) {
            return EP_E_MEMORY;
        }
        t->sample = grown;
        t->cap_samples = cap;
    }
    t->sample[t->n_samples++] = *s;
    return EP_OK;
}

// columns of half a section: from the centre through the first wick to the wall
static int section_column(const ep_jar *j, const ep_trace *t, int i)
{
    double at_m = (i + 0.5) * t->dr_m;
    return ep_jar_column_at(j, at_m * t->section_x, at_m * t->section_y);
}

static void aim_section(ep_trace *t, const ep_jar *j)
{
    const jar_wick *w = &j->wick[0];
    double off_m = hypot(w->x_m, w->y_m);
    t->section_x = off_m > 1e-6 ? w->x_m / off_m : 1.0;
    t->section_y = off_m > 1e-6 ? w->y_m / off_m : 0.0;
    t->dr_m = 2.0 * j->half_m[0][0];
    double widest_m = 0.0;
    for (int k = j->n_base; k < j->nz; k++) {
        double mid_m = j->z_m[k] + 0.5 * j->dz_m;
        widest_m = ep_max(widest_m, ep_jar_wall_along_m(j, mid_m, t->section_x, t->section_y));
    }
    t->nr = (int)ceil(widest_m / t->dr_m - 1e-6);
    t->nz = j->nz - j->n_base;
    t->dz_m = j->dz_m;
}

void ep_trace_frame(ep_trace *t, const ep_jar *j, const ep_sample *s)
{
    if (t->n_frames >= EP_MAX_FRAMES) {
        return;
    }
    aim_section(t, j);
    size_t n = (size_t)t->nr * (size_t)t->nz;
    ep_frame *frame = &t->frame[t->n_frames];
    *frame = (ep_frame){.lit_s = s->lit_s,
                        .minute = s->minute,
                        .level_m = s->level_m,
                        .flame_m = s->lit ? s->flame_m : 0.0,
                        .exposed_m = s->exposed_m,
                        .session = s->session,
                        .lit = s->lit};
    frame->T_C = malloc(n * sizeof *frame->T_C);
    frame->melt = malloc(n * sizeof *frame->melt);
    if (!frame->T_C || !frame->melt) {
        // a picture less is no reason to lose the run
        free(frame->T_C);
        free(frame->melt);
        return;
    }
    for (int k = 0; k < t->nz; k++) {
        for (int i = 0; i < t->nr; i++) {
            size_t at = (size_t)k * (size_t)t->nr + (size_t)i;
            size_t cell = ep_at(j->f, section_column(j, t, i), k + j->n_base);
            bool wax = j->f->wax[cell] > 0.0 && j->f->mass[cell] > 0.0;
            frame->T_C[at] = wax ? (short)lround(j->f->T[cell]) : -1;
            double liquid = wax ? ep_law_liquid_frac(&j->f->law, j->f->u[cell]) : 0.0;
            frame->melt[at] = (unsigned char)lround(100.0 * liquid);
        }
    }
    t->n_frames++;
}
