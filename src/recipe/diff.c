// What changed between two revisions, by factor. Equal means: the same candle would be made,
// however it was typed; so shares, lengths and times are compared within what typing in other units
// rounds.
#include <assert.h>
#include <math.h>
#include <string.h>

#include "recipe/recipe.h"
#include "recipe/recipe_int.h"

typedef struct factor_row {
    const char *key, *label;
    bool retest;
} factor_row;

static const factor_row factors[EP_FACTOR_COUNT_] = {
#define X(id, key, label, retest) {key, label, retest},
    EP_FACTOR_LIST(X)
#undef X
};

static const factor_row *row_of(ep_factor f)
{
    assert((int)f >= 0 && f < EP_FACTOR_COUNT_);
    return &factors[f];
}

const char *ep_factor_key(ep_factor f)
{
    return row_of(f)->key;
}

const char *ep_factor_label(ep_factor f)
{
    return row_of(f)->label;
}

bool ep_factor_needs_retest(ep_factor f)
{
    return row_of(f)->retest;
}

static bool near(double a, double b, double tolerance)
{
    return fabs(a - b) <= tolerance;
}

static bool same_shares(const ep_share *a, int n_a, const ep_share *b, int n_b)
{
    if (n_a != n_b) {
        return false;
    }
    for (int i = 0; i < n_a; i++) {
        int k = 0;
        while (k < n_b && strcmp(a[i].id, b[k].id) != 0) {
            k++;
        }
        if (k == n_b || !near(a[i].frac, b[k].frac, EP_SHARE_TOLERANCE)) {
            return false;
        }
    }
    return true;
}

// a tenth of a millimetre is finer than anybody sets a wick; other counts are another factor
static bool same_places(const ep_revision *a, const ep_revision *b)
{
    if (a->wick_count != b->wick_count) {
        return true;
    }
    if (a->n_places != b->n_places) {
        return false;
    }
    for (int i = 0; i < a->n_places; i++) {
        if (!near(a->place[i].x_m, b->place[i].x_m, 1e-4) ||
            !near(a->place[i].y_m, b->place[i].y_m, 1e-4)) {
            return false;
        }
    }
    return true;
}

static double load_of_total(const ep_revision *r)
{
    double a = r->dye_of_wax_frac + ep_shares_sum(r->additive, r->n_additives);
    return r->load_basis == EP_LOAD_OF_TOTAL ? r->load_frac : ep_load_to_total(r->load_frac, a);
}

static bool same_load(const ep_revision *a, const ep_revision *b)
{
    // the same number on the same basis: another additive share moves the other basis a little, but
    // the maker did not change the load
    if (a->load_basis == b->load_basis && near(a->load_frac, b->load_frac, EP_SHARE_TOLERANCE)) {
        return true;
    }
    return near(load_of_total(a), load_of_total(b), EP_SHARE_TOLERANCE);
}

static bool same(ep_factor f, const ep_revision *a, const ep_revision *b)
{
    switch (f) {
    case EP_FACTOR_CONTAINER:
        return strcmp(a->container_id, b->container_id) == 0;
    case EP_FACTOR_FILL:
        return near(a->fill_height_m, b->fill_height_m, EP_LENGTH_TOLERANCE_M);
    case EP_FACTOR_WAX:
        return same_shares(a->wax, a->n_waxes, b->wax, b->n_waxes);
    case EP_FACTOR_FRAGRANCE:
        return strcmp(a->fragrance_id, b->fragrance_id) == 0;
    case EP_FACTOR_LOAD:
        return same_load(a, b);
    case EP_FACTOR_DYE:
        return strcmp(a->dye_id, b->dye_id) == 0 &&
               near(a->dye_of_wax_frac, b->dye_of_wax_frac, EP_DYE_TOLERANCE);
    case EP_FACTOR_ADDITIVE:
        return same_shares(a->additive, a->n_additives, b->additive, b->n_additives);
    case EP_FACTOR_SERIES:
        return strcmp(a->series_id, b->series_id) == 0;
    case EP_FACTOR_SIZE:
        return strcmp(a->size_id, b->size_id) == 0;
    case EP_FACTOR_COUNT:
        return a->wick_count == b->wick_count;
    case EP_FACTOR_PLACES:
        return same_places(a, b);
    case EP_FACTOR_TRIM:
        return near(a->trim_m, b->trim_m, EP_LENGTH_TOLERANCE_M);
    case EP_FACTOR_SESSION:
        return near(a->session_s, b->session_s, EP_TIME_TOLERANCE_S);
    case EP_FACTOR_STOP:
        return near(a->stop_height_m, b->stop_height_m, EP_LENGTH_TOLERANCE_M);
    case EP_FACTOR_COUNT_:
        break;
    }
    assert(f != EP_FACTOR_COUNT_);
    return true;
}

unsigned ep_revision_diff(const ep_revision *a, const ep_revision *b)
{
    unsigned changed = 0;
    for (int f = 0; f < EP_FACTOR_COUNT_; f++) {
        if (!same((ep_factor)f, a, b)) {
            changed |= 1u << f;
        }
    }
    return changed;
}
