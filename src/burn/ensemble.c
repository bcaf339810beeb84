// Draws, threads and order statistics of an ensemble.
#include "burn/ensemble.h"

#include <assert.h>
#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/rng.h"
#include "base/units.h"

// half-width of a 90 % interval in standard deviations
static const double Z90 = 1.6448536269514722;

typedef struct prior {
    bool own;
    double lo, hi;
} prior;

static const prior OWN_PRIOR[EP_UNC_COUNT_] = {
#define LAW                                   false
#define OWN                                   true
#define X(id, key, owner, how, lo, hi, label) {how, lo, hi},
    EP_FACTOR_PRIORS(X)
#undef X
#undef LAW
#undef OWN
};

static prior relative(const ep_prop *p)
{
    return (prior){false, p->lo / p->value, p->hi / p->value};
}

// interval of a factor for this very candle
static prior prior_of(const ep_burn_case *c, ep_uncertain u)
{
    if (OWN_PRIOR[u].own) {
        return OWN_PRIOR[u];
    }
    switch (u) {
    case EP_UNC_FEED:
        return relative(&c->wick.permeability_m2);
    case EP_UNC_LATENT:
        return relative(&c->melt.latent_J_kg);
    case EP_UNC_SOLID_K:
        return relative(&c->melt.k_solid_W_mK);
    case EP_UNC_VISCOSITY:
        return relative(&c->melt.mu80_Pas);
    case EP_UNC_MELT_POINT:
        return (prior){false, c->melt.liquidus_K.lo - c->melt.liquidus_K.value,
                       c->melt.liquidus_K.hi - c->melt.liquidus_K.value};
    case EP_UNC_EVAPORATION:
    case EP_UNC_FLAME_BASE:
    case EP_UNC_RADIATION:
    case EP_UNC_STIRRING:
    case EP_UNC_ABSORB:
    case EP_UNC_LETS_GO:
    case EP_UNC_LOSS_TOP:
    case EP_UNC_LOSS_SIDE:
    case EP_UNC_WARM_AIR:
    case EP_UNC_SCATTER:
    case EP_UNC_COUNT_:
        break;
    }
    return (prior){true, 1.0, 1.0};
}

// two half-normals that meet at the nominal value, so that a lopsided interval stays lopsided
double ep_factor_at(const ep_burn_case *c, ep_uncertain u, double z)
{
    prior p = prior_of(c, u);
    if (u == EP_UNC_MELT_POINT) {
        return (z < 0.0 ? -p.lo : p.hi) / Z90 * z;
    }
    double edge = z < 0.0 ? -log(fmax(p.lo, 1e-3)) : log(fmax(p.hi, 1e-3));
    return exp(fmax(edge, 0.0) / Z90 * z);
}

typedef struct keyed {
    uint64_t key;
    int at;
} keyed;

static int by_key(const void *a, const void *b)
{
    const keyed *x = a, *y = b;
    return x->key < y->key ? -1 : (x->key > y->key ? 1 : x->at - y->at);
}

void ep_factors_draw(const ep_burn_case *c, uint64_t seed, int members, ep_factors *out)
{
    assert(members >= 1 && members <= EP_MAX_MEMBERS);
    keyed order[EP_MAX_MEMBERS];
    for (int u = 0; u < EP_UNC_COUNT_; u++) {
        // one stratum per member, shuffled by the factor's own stream
        ep_rng r = ep_rng_make(seed, (uint64_t)u);
        for (int m = 0; m < members; m++) {
            order[m] = (keyed){ep_rng_u64(&r), m};
        }
        qsort(order, (size_t)members, sizeof *order, by_key);
        for (int m = 0; m < members; m++) {
            double p = (order[m].at + ep_rng_uniform(&r)) / members;
            p = fmin(fmax(p, 1e-6), 1.0 - 1e-6);
            out[m].f[u] = ep_factor_at(c, (ep_uncertain)u, ep_normal_quantile(p));
        }
    }
}

typedef struct shared {
    const ep_burn_case *base;
    ep_ensemble *e;
    atomic_int next;
    atomic_int failed;
} shared;

static void *worker(void *arg)
{
    shared *s = arg;
    for (;;) {
        int m = atomic_fetch_add(&s->next, 1);
        if (m >= s->e->members || atomic_load(&s->failed)) {
            return NULL;
        }
        ep_burn_case c = *s->base;
        c.factors = s->e->factors[m];
        c.keep_frames = false;
        c.threads = 1;
        ep_status status = ep_burn_run(&c, &s->e->trace[m], NULL);
        if (status != EP_OK) {
            atomic_store(&s->failed, (int)status);
        }
    }
}

static int thread_count(int wanted, int members)
{
    long n = wanted > 0 ? wanted : sysconf(_SC_NPROCESSORS_ONLN);
    n = n < 1 ? 1 : (n > 64 ? 64 : n);
    return (int)n < members ? (int)n : members;
}

ep_status ep_ensemble_run(const ep_burn_case *base, const ep_ensemble_opts *opts, ep_ensemble **out,
                          ep_err *err)
{
    return ep_ensemble_run_with(base, opts, NULL, out, err);
}

ep_status ep_ensemble_run_with(const ep_burn_case *base, const ep_ensemble_opts *opts,
                               const ep_factors *factors, ep_ensemble **out, ep_err *err)
{
    ep_status status = ep_range_check(opts->members, 2, EP_MAX_MEMBERS, EP_U_NONE, "members", err);
    status = status == EP_OK ? ep_burn_case_check(base, err) : status;
    if (status != EP_OK) {
        return status;
    }
    ep_ensemble *e = calloc(1, sizeof *e);
    if (!e) {
        return ep_err_set(err, EP_E_MEMORY, "members", "members: %d need more memory than there is",
                          opts->members);
    }
    e->members = opts->members;
    if (factors) {
        memcpy(e->factors, factors, (size_t)e->members * sizeof *factors);
    } else {
        ep_factors_draw(base, opts->seed, e->members, e->factors);
    }

    shared s = {.base = base, .e = e};
    pthread_t thread[64];
    int started = 0, wanted = thread_count(opts->threads, e->members) - 1;
    while (started < wanted && pthread_create(&thread[started], NULL, worker, &s) == 0) {
        started++;
    }
    worker(&s);  // this thread works too, so one that could not start is only time lost
    for (int t = 0; t < started; t++) {
        pthread_join(thread[t], NULL);
    }
    int failed = atomic_load(&s.failed);
    if (failed) {
        ep_ensemble_destroy(e);
        return ep_err_set(err, (ep_status)failed, "", "a burn of the ensemble failed: %s",
                          ep_status_text((ep_status)failed));
    }
    *out = e;
    return EP_OK;
}

void ep_ensemble_destroy(ep_ensemble *e)
{
    if (e) {
        for (int m = 0; m < e->members; m++) {
            ep_trace_destroy(e->trace[m]);
        }
        free(e);
    }
}

// the copies after the first of every candle; those made so far when memory runs out
static ep_status copy_all(const ep_ensemble *e, int copies, ep_trace **trace)
{
    for (int i = 0; i < e->members * copies; i++) {
        if (i % copies != 0 && ep_trace_copy(e->trace[i / copies], &trace[i]) != EP_OK) {
            return EP_E_MEMORY;
        }
    }
    return EP_OK;
}

ep_status ep_ensemble_copy(ep_ensemble *e, int copies, ep_err *err)
{
    assert(copies >= 1 && e->copies <= 1 && e->members * copies <= EP_MAX_MEMBERS);
    ep_trace *trace[EP_MAX_MEMBERS] = {0};
    if (copy_all(e, copies, trace) != EP_OK) {
        for (int i = 0; i < EP_MAX_MEMBERS; i++) {
            ep_trace_destroy(trace[i]);
        }
        return ep_err_set(err, EP_E_MEMORY, "members", "members: %d need more memory than there is",
                          e->members);
    }
    for (int m = e->members - 1; m >= 0; m--) {
        for (int k = copies - 1; k >= 0; k--) {
            e->trace[m * copies + k] = k > 0 ? trace[m * copies + k] : e->trace[m];
            e->factors[m * copies + k] = e->factors[m];
        }
    }
    e->members *= copies;
    e->copies = copies;
    return EP_OK;
}

static int by_value(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double ep_quantile(double *x, int n, double p)
{
    int kept = 0;
    for (int i = 0; i < n; i++) {
        if (!isnan(x[i])) {
            x[kept++] = x[i];
        }
    }
    for (int i = kept; i < n; i++) {
        x[i] = (double)NAN;  // no copy is left behind for the next call on the same numbers
    }
    if (kept == 0) {
        return (double)NAN;
    }
    qsort(x, (size_t)kept, sizeof *x, by_value);
    double at = p * (kept - 1);
    int lo = (int)floor(at);
    int hi = lo + 1 < kept ? lo + 1 : lo;
    return x[lo] + (at - lo) * (x[hi] - x[lo]);
}
