// Burns at the points of a screening plan over what is believed of one wick so far; lines through
// them; what they say; again over that.
#include "learn/look.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "learn/lines.h"
#include "learn/lower.h"

// sd of the log of a candle's own deviation, as the points spread it
static const double SCATTER_SPREAD = EP_CANDLE_SD;
// lines whose belief stays within this many sds of where they were laid (root mean square over the
// parameters) are the last: they hold where they are used
static const double SETTLED = 1.0;
static const double LEAST_PIVOT = 1e-12;
enum { MOST_ROUNDS = 4, MOST_POINTS = 128, MOST_COLUMNS = EP_LOOK_PARAMS + 2 };

int ep_look_params(const ep_model_run *r, int param[EP_MODEL_TERMS])
{
    int n = 0;
    for (int i = 0; i < r->n_terms; i++) {
        int k = 0;
        while (k < n && param[k] != r->term[i].param) {
            k++;
        }
        param[k] = r->term[i].param;
        n += k == n;
    }
    return n;
}

// --- the wick by itself ---

typedef struct alone {
    ep_model_run run;  // parameters in its own order, its candles from 0
    ep_model m;
    int candles, n, unknowns;
    const ep_look *look;
    double *v, *X;  // mode and root of the covariance
    double *L;      // n x n lower: root of the parameters' covariance
    double *point;  // points x (n + 1), the last the log of the candle's scatter
    double *f;      // points x data
    int points, threads;
} alone;

static void set_alone(alone *a, const ep_model_run *r, int threads)
{
    int param[EP_MODEL_TERMS];
    a->n = ep_look_params(r, param);
    a->run = *r;
    a->run.block = a->run.first_candle = 0;
    for (int i = 0; i < r->n_terms; i++) {
        int k = 0;
        while (param[k] != r->term[i].param) {
            k++;
        }
        a->run.term[i].param = k;
    }
    a->candles = 1;
    for (int i = 0; i < r->evidence.n; i++) {
        const int candle = r->evidence.datum[i].candle;
        a->candles = candle >= a->candles ? candle + 1 : a->candles;
    }
    a->m = (ep_model){a->n, 1, &a->candles, 1, &a->run, threads};
    a->unknowns = ep_model_unknowns(&a->m);
}

static ep_status alloc_alone(alone *a)
{
    const size_t n = (size_t)a->n, u = (size_t)a->unknowns, data = (size_t)a->run.evidence.n;
    a->v = calloc(u + u * u + n * n + MOST_POINTS * (n + 1 + data), sizeof *a->v);
    if (!a->v) {
        return EP_E_MEMORY;
    }
    a->X = a->v + u;
    a->L = a->X + u * u;
    a->point = a->L + n * n;
    a->f = a->point + MOST_POINTS * (n + 1);
    for (int i = 0; i < a->n; i++) {
        a->L[i * a->n + i] = 1.0;
    }
    return EP_OK;
}

// --- points ---

// Sylvester's matrix: the sign of row i, column j
static double sign_of(int i, int j)
{
    int odd = 0;
    for (int both = i & j; both; both >>= 1) {
        odd ^= both & 1;
    }
    return odd ? -1.0 : 1.0;
}

// Point k in units of the spread: half of the plan and the same with all signs turned. Columns move
// on with the round, so that no two rounds mix up the same unknowns.
static double unit_at(const alone *a, int round, int k, int column)
{
    const int half = a->points / 2, place = 1 + (column + 5 * round) % (half - 1);
    return (k < half ? 1.0 : -1.0) * sign_of(k % half, place);
}

static ep_status burn_points(alone *a, int round)
{
    const int n = a->n;
    double scatter[MOST_POINTS];
    int half = 2;
    while (half < n + 2) {
        half *= 2;
    }
    a->points = 2 * half;
    if (a->points > MOST_POINTS) {
        return EP_E_ARG;
    }
    for (int k = 0; k < a->points; k++) {
        double *x = a->point + k * n;
        for (int i = 0; i < n; i++) {
            x[i] = a->v[i];
            for (int j = 0; j <= i; j++) {
                x[i] += a->L[i * n + j] * unit_at(a, round, k, j);
            }
        }
        scatter[k] = SCATTER_SPREAD * unit_at(a, round, k, n);
    }
    return ep_model_predict_many(&a->m, a->points, a->point, n, scatter, a->f);
}

// --- lines through the points ---

// Least squares over the points where datum i is known; a point that is missing spoils the plan's
// balance, so slopes are then held a little. beta: mean, slope by each unit, by the scatter's.
// Returns the squares left and, by *degrees, over how many.
static double line_through(const alone *a, int round, int i, double *beta, int *degrees)
{
    const int q = a->n + 2, data = a->run.evidence.n;
    double A[MOST_COLUMNS * MOST_COLUMNS] = {0}, row[MOST_COLUMNS], left = 0.0;
    int known = 0;
    memset(beta, 0, (size_t)q * sizeof *beta);
    for (int pass = 0; pass < 2; pass++) {
        for (int k = 0; k < a->points; k++) {
            const double y = a->f[k * data + i];
            if (isnan(y)) {
                continue;
            }
            row[0] = 1.0;
            for (int c = 1; c < q; c++) {
                row[c] = unit_at(a, round, k, c - 1);
            }
            double off = y;
            for (int c = 0; c < q && pass == 0; c++) {
                beta[c] += row[c] * y;
                for (int d = 0; d <= c; d++) {
                    A[c * q + d] += row[c] * row[d];
                }
            }
            for (int c = 0; c < q && pass == 1; c++) {
                off -= row[c] * beta[c];
            }
            known += pass == 0;
            left += pass == 1 ? off * off : 0.0;
        }
        for (int c = 1; c < q && pass == 0; c++) {
            A[c * q + c] += known < a->points ? 1.0 : 0.0;
        }
        if (pass == 0) {
            ep_lower_root(A, q, LEAST_PIVOT);
            ep_lower_forward(A, q, beta, beta);
            ep_lower_back(A, q, beta, beta);
        }
    }
    *degrees = known - q;
    if (4 * known < a->points) {
        beta[0] = (double)NAN;  // hardly a candle got there
    }
    return left;
}

static void draw_lines(const alone *a, int round, ep_look *k)
{
    double beta[MOST_COLUMNS], left[EP_DATUM_COUNT_] = {0};
    int over[EP_DATUM_COUNT_] = {0};
    for (int i = 0; i < k->n_data; i++) {
        const ep_datum_kind kind = a->run.evidence.datum[i].kind;
        int degrees = 0;
        double squares = line_through(a, round, i, beta, &degrees);
        k->f[i] = beta[0];
        k->slope[i] = isnan(beta[0]) ? 0.0 : beta[a->n + 1] / SCATTER_SPREAD;
        memset(k->jac + i * a->n, 0, (size_t)a->n * sizeof *k->jac);
        if (!isnan(beta[0])) {
            // by units of the spread -> by parameters
            ep_lower_back(a->L, a->n, beta + 1, k->jac + i * a->n);
        }
        k->rough[i] = degrees > 0 ? sqrt(squares / degrees) : (double)NAN;
        left[kind] += degrees > 0 ? squares : 0.0;
        over[kind] += degrees > 0 ? degrees : 0;
    }
    for (int i = 0; i < k->n_data; i++) {
        const ep_datum_kind kind = a->run.evidence.datum[i].kind;
        if (isnan(k->rough[i])) {
            k->rough[i] = over[kind] > 0 ? sqrt(left[kind] / over[kind]) : 0.0;
        }
    }
    memcpy(k->at, a->v, (size_t)a->n * sizeof *k->at);
}

// --- what they say ---

static ep_status believe(alone *a, const ep_look *k, double *moved)
{
    const int n = a->n, u = a->unknowns;
    double before[EP_LOOK_PARAMS], step[EP_LOOK_PARAMS];
    memcpy(before, a->v, (size_t)n * sizeof *before);
    ep_lines l;
    ep_mode end;
    ep_status s = ep_lines_of(&a->m, &k, &l);
    if (s != EP_OK) {
        return s;
    }
    s = ep_lines_mode(&l, 30, a->v, a->X, &end);
    ep_lines_clear(&l);
    if (s != EP_OK) {
        return s;
    }
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
        step[i] = a->v[i] - before[i];
    }
    ep_lower_forward(a->L, n, step, step);
    for (int i = 0; i < n; i++) {
        sum += step[i] * step[i];
    }
    *moved = sqrt(sum / n);
    ep_lines_covariance(a->X, u, n, a->L);
    ep_lower_root(a->L, n, LEAST_PIVOT);
    return EP_OK;
}

ep_status ep_look_at(const ep_model_run *r, int threads, ep_look **out)
{
    alone a = {.threads = threads};
    ep_look *k = NULL;
    set_alone(&a, r, threads);
    ep_status s = a.n > EP_LOOK_PARAMS ? EP_E_ARG : alloc_alone(&a);
    s = s == EP_OK ? ep_look_make(a.n, r->evidence.n, &k) : s;
    for (int round = 0; s == EP_OK && !k->settled && round < MOST_ROUNDS; round++) {
        double moved = 0.0;
        s = burn_points(&a, round);
        if (s == EP_OK) {
            draw_lines(&a, round, k);
            k->burns += a.points;
            k->rounds++;
            s = believe(&a, k, &moved);
        }
        // the first lines are laid over the tables' ranges, too wide to be good ones
        k->settled = round > 0 && moved < SETTLED;
    }
    free(a.v);
    if (s != EP_OK) {
        ep_look_destroy(k);
        return s;
    }
    *out = k;
    return EP_OK;
}
