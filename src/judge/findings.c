// The list of findings: one per requirement and candle, the worst of its kind, hazards first.
#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "judge/judge_int.h"

ep_finding ep_finding_at(const ep_work *w, int requirement, ep_weight weight,
                         const ep_burn_facts *f, ep_seen s, double limit, ep_unit unit)
{
    ep_finding out = {.requirement = requirement,
                      .weight = weight,
                      .candle = -1,
                      .value = s.value,
                      .limit = limit,
                      .unit = unit};
    if (f) {
        out.candle = f->candle;
        out.session = f->session;
    }
    if (ep_seen_any(s)) {
        out.session = w->d->reading[s.i].session;
        out.ref[out.n_refs++] = s.i;
    }
    return out;
}

static void add_ref(ep_finding *f, int ref)
{
    for (int i = 0; i < f->n_refs; i++) {
        if (f->ref[i] == ref) {
            return;
        }
    }
    if (f->n_refs < EP_FINDING_REFS) {
        f->ref[f->n_refs++] = ref;
    }
}

// the worse of the two stays; readings of equal weight stand behind it together
static void merge(ep_finding *old, double *old_bad, const ep_finding *new, double new_bad)
{
    if (new->weight < old->weight) {
        return;
    }
    if (new->weight > old->weight) {
        *old = *new;
        *old_bad = new_bad;
        return;
    }
    ep_finding worse = new_bad > *old_bad ? *new : *old;
    const ep_finding *other = new_bad > *old_bad ? old : new;
    for (int i = 0; i < other->n_refs; i++) {
        add_ref(&worse, other->ref[i]);
    }
    *old = worse;
    *old_bad = fmax(*old_bad, new_bad);
}

// room for one more: a full list gives up its lightest, latest entry to a heavier one
static int slot_for(ep_verdict *v, ep_weight weight)
{
    if (v->n_findings < EP_MAX_FINDINGS) {
        return v->n_findings++;
    }
    int lightest = 0;
    for (int i = 1; i < v->n_findings; i++) {
        lightest = v->finding[i].weight <= v->finding[lightest].weight ? i : lightest;
    }
    return v->finding[lightest].weight < weight ? lightest : -1;
}

void ep_find(ep_work *w, ep_finding f, double badness, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    vsnprintf(f.text, sizeof f.text, fmt, args);
    va_end(args);
    assert(f.requirement > EP_J_NONE && f.requirement < EP_J_END_);
    ep_verdict *v = w->v;
    v->stop_now = v->stop_now || f.weight == EP_STOP;
    for (int i = 0; i < v->n_findings; i++) {
        if (v->finding[i].requirement == f.requirement && v->finding[i].candle == f.candle) {
            merge(&v->finding[i], &w->badness[i], &f, badness);
            return;
        }
    }
    int slot = slot_for(v, f.weight);
    if (slot >= 0) {
        v->finding[slot] = f;
        w->badness[slot] = badness;
    }
}

static bool stands_before(const ep_finding *a, const ep_finding *b)
{
    if (a->weight != b->weight) {
        return a->weight > b->weight;
    }
    if (a->requirement != b->requirement) {
        return a->requirement < b->requirement;
    }
    return a->candle < b->candle;
}

void ep_findings_sort(ep_verdict *v)
{
    for (int i = 1; i < v->n_findings; i++) {
        ep_finding f = v->finding[i];
        int j = i;
        for (; j > 0 && stands_before(&f, &v->finding[j - 1]); j--) {
            v->finding[j] = v->finding[j - 1];
        }
        v->finding[j] = f;
    }
}
