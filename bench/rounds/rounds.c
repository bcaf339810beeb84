// How many candles, days and rounds until a wick is proven: the program's way against stepping up
// and down from the middle size and against three neighbouring sizes at once. Virtual makers whose
// physics is not the engine's (world.h). All three burn candles the same way and are judged by the
// same judge. Usage: bench_rounds [makers] [seed]. Every row gives 95 % intervals; seeds are fixed.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "learn/belief.h"
#include "learn/shift.h"
#include "plan/next.h"
#include "world.h"

enum { MOST_ROUNDS = 12, MEMBERS = 24, NEED = 3 };
static const double CURE_DAYS = 10.0;

typedef struct outcome {
    int candles, rounds, approved;  // size, -1 = none found
    double days;
    bool gave_up;  // said that none fits
} outcome;

typedef struct hunt {
    world w;
    world_book *book[WORLD_SIZES];
    outcome out;
} hunt;

static void hunt_open(hunt *h, uint64_t seed, const world_opts *o)
{
    *h = (hunt){.w = world_make(seed, o), .out = {.approved = -1}};
    for (int i = 0; i < WORLD_SIZES; i++) {
        h->book[i] = calloc(1, sizeof *h->book[i]);
        if (!h->book[i]) {
            abort();
        }
    }
}

static void hunt_close(hunt *h)
{
    for (int i = 0; i < WORLD_SIZES; i++) {
        free(h->book[i]);
    }
}

// one round: these candles are poured together, cured and burned side by side
static void round_of(hunt *h, const int *size, const int *n, int sizes)
{
    int longest = 0;
    for (int i = 0; i < sizes; i++) {
        world_burn(&h->w, size[i], n[i], h->book[size[i]]);
        h->out.candles += n[i];
        int last = h->book[size[i]]->sessions_last;
        longest = last > longest ? last : longest;
    }
    h->out.rounds++;
    h->out.days += CURE_DAYS + longest;
}

static ep_verdict verdict_of(const hunt *h, int size)
{
    static _Thread_local ep_verdict v;
    memset(&v, 0, sizeof v);
    if (h->book[size]->d.n_candles > 0) {
        ep_judge(&h->book[size]->d, ep_limits_default(), &v, NULL);
    }
    return v;
}

// -1 too small, +1 too hot, 0 nothing against it
static int lean(const hunt *h, int size)
{
    ep_verdict v = verdict_of(h, size);
    if (v.stop_now || v.kind == EP_VERDICT_TOO_BIG || v.kind == EP_VERDICT_WRONG_KIND) {
        return 1;
    }
    return v.kind == EP_VERDICT_TOO_SMALL ? -1 : 0;
}

// (a) one candle of the middle size; a step up or down as it fails; two more when it passes
static void step_up_and_down(hunt *h)
{
    int at = WORLD_SIZES / 2, lo = -1, hi = WORLD_SIZES;
    while (h->out.rounds < MOST_ROUNDS && at > lo && at < hi) {
        int one = 1, two = NEED - 1;
        round_of(h, &at, &one, 1);
        if (lean(h, at) == 0) {
            round_of(h, &at, &two, 1);
            if (verdict_of(h, at).kind == EP_VERDICT_RIGHT) {
                h->out.approved = at;
                return;
            }
        }
        if (lean(h, at) > 0) {
            hi = at--;
        } else {
            lo = at++;
        }
    }
}

// (b) three neighbours at once about the middle; two more of the smallest that passes
static void three_at_once(hunt *h)
{
    int middle = WORLD_SIZES / 2;
    bool tried[WORLD_SIZES] = {false};
    while (h->out.rounds < MOST_ROUNDS) {
        int size[3], n[3] = {1, 1, 1}, sizes = 0, sum = 0;
        for (int i = middle - 1; i <= middle + 1; i++) {
            if (i >= 0 && i < WORLD_SIZES && !tried[i]) {
                tried[i] = true;
                size[sizes++] = i;
            }
        }
        if (sizes == 0) {
            return;
        }
        round_of(h, size, n, sizes);
        for (int i = 0; i < sizes; i++) {
            int two = NEED - 1;
            if (lean(h, size[i]) == 0) {
                round_of(h, &size[i], &two, 1);
                if (verdict_of(h, size[i]).kind == EP_VERDICT_RIGHT) {
                    h->out.approved = size[i];
                    return;
                }
            }
            sum += lean(h, size[i]);
        }
        middle += sum > 0 ? -3 : 3;
        if (middle < -1 || middle > WORLD_SIZES) {
            return;
        }
    }
}

// --- the program's way ---

static ep_burn_case case_of(const world *w, int size)
{
    ep_burn_case c = ep_burn_case_default();
    const ep_material *wax = ep_builtin_find("std-wax-soy");
    ep_blend_part part = {wax, 1.0};
    ep_wick_size s = {.id = "s", .name = "s", .linear_density_kg_m = w->density_g_m[size] * 1e-3};
    c.vessel = ep_vessel_straight(w->inner_m, w->fill_m + 0.02, 3e-3, 5e-3);
    c.wall = ep_builtin_find("std-container-soda-lime");
    c.fill_height_m = w->fill_m;
    c.grid_m = 4e-3;
    c.step_s = 120.0;
    if (ep_melt_mix(&part, 1, &c.melt, NULL) != EP_OK ||
        ep_wick_law_of(ep_builtin_find("std-wick-flat-braid"), &s, &c.wick, NULL) != EP_OK) {
        abort();
    }
    return c;
}

static ep_model_run run_of(const world *w, int size)
{
    ep_model_run r = {.burn = case_of(w, size), .room_C = 21.0};
    for (int u = 0; u < EP_UNC_SCATTER; u++) {
        r.term[r.n_terms++] = (ep_term){u, (ep_uncertain)u, 1.0};
    }
    r.size_x = log(w->density_g_m[size] / w->density_g_m[WORLD_SIZES / 2]) / 0.3;
    return r;
}

typedef struct thinking {
    ep_model_run run[WORLD_SIZES];
    int candles[1];
    ep_model model;
    ep_belief *belief;
} thinking;

static void think(const hunt *h, thinking *t)
{
    *t = (thinking){.candles = {0}};
    int n = 0;
    for (int i = 0; i < WORLD_SIZES; i++) {
        if (h->book[i]->d.n_candles == 0) {
            continue;
        }
        ep_model_run *r = &t->run[n++];
        *r = run_of(&h->w, i);
        r->first_candle = t->candles[0];
        t->candles[0] += h->book[i]->d.n_candles;
        if (ep_evidence_of(&h->book[i]->d, &r->evidence) != EP_OK) {
            abort();
        }
        r->burn.schedule.max_sessions = r->evidence.sessions > 0 ? r->evidence.sessions : 1;
    }
    t->model = (ep_model){EP_UNC_SCATTER, 1, t->candles, n, t->run, 0};
    ep_belief_opts o = {.seed = 1, .draws = MEMBERS, .max_steps = 8};
    if (ep_belief_learn(&t->model, &o, &t->belief, NULL) != EP_OK) {
        abort();
    }
}

static void odds_of(const hunt *h, const thinking *t, int size, bool burned, ep_wick_odds *odds,
                    unsigned char *kind)
{
    ep_factors factors[MEMBERS];
    ep_shift shift[MEMBERS];
    ep_model_run target = run_of(&h->w, size);
    for (int m = 0; m < MEMBERS; m++) {
        const double *v = t->belief->draw + m * t->belief->n_unknowns;
        ep_rng r = ep_rng_make(77, (uint64_t)m);
        factors[m] = ep_belief_factors(&t->model, t->belief, m, &target, ep_rng_normal(&r));
        memcpy(shift[m].bias, v + ep_model_block_at(&t->model, 0), sizeof shift[m].bias);
        shift[m].misfit = ep_model_misfit(&t->model, v);
        shift[m].size_x = target.size_x;
    }
    ep_ensemble_opts opts = {.members = MEMBERS, .seed = 1};
    ep_odds_draws draws = {factors, burned ? shift : NULL};
    unsigned char column[MEMBERS];
    if (ep_odds_compute_drawn(&target.burn, &opts, ep_limits_default(), &draws, column, odds,
                              NULL) != EP_OK) {
        abort();
    }
    for (int m = 0; m < MEMBERS; m++) {
        kind[m * WORLD_SIZES + size] = column[m];
    }
}

static ep_next next_of(const hunt *h)
{
    static const char *const name[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10"};
    thinking t;
    ep_next_size size[WORLD_SIZES] = {0};
    unsigned char kind[MEMBERS * WORLD_SIZES];
    int sessions = 0;
    think(h, &t);
    for (int i = 0; i < WORLD_SIZES; i++) {
        ep_wick_odds odds;
        ep_verdict v = verdict_of(h, i);
        odds_of(h, &t, i, h->out.rounds > 0, &odds, kind);
        size[i] = (ep_next_size){.right = odds.verdict[EP_VERDICT_RIGHT],
                                 .small = odds.verdict[EP_VERDICT_TOO_SMALL],
                                 .hot = odds.hot,
                                 .verdict = v.kind,
                                 .stopped = v.stop_now,
                                 .candles = h->book[i]->d.n_candles,
                                 .finished_right = v.candles_right,
                                 .finished_wrong = v.candles_wrong};
        sessions += h->book[i]->d.n_burns;
    }
    ep_next_in in = {.n = WORLD_SIZES,
                     .size = size,
                     .members = MEMBERS,
                     .kind = kind,
                     .need = NEED,
                     .cure_days = CURE_DAYS,
                     .burn_days = 12.0,
                     .day_cost = 0.15,
                     .scatter_sd = t.belief->scatter_sd,
                     .burned_sessions = sessions,
                     .size_name = name};
    ep_next next;
    ep_plan_next(&in, &next);
    if (getenv("EP_SHOW")) {
        printf("   %s\n     odds", next.sentence);
        for (int i = 0; i < WORLD_SIZES; i++) {
            printf(" %.0f/%.0f/%.0f", 100 * size[i].small, 100 * size[i].right, 100 * size[i].hot);
        }
        printf("\n");
    }
    ep_belief_destroy(t.belief);
    for (int i = 0; i < t.model.n_runs; i++) {
        ep_evidence_clear(&t.run[i].evidence);
    }
    return next;
}

static void the_programs_way(hunt *h)
{
    while (h->out.rounds < MOST_ROUNDS) {
        ep_next next = next_of(h);
        if (next.status == EP_NEXT_PROVEN) {
            h->out.approved = next.pick[0].size;
            return;
        }
        if (next.status != EP_NEXT_POUR) {
            h->out.gave_up = true;
            return;
        }
        round_of(h, &next.pick[0].size, next.candles, 1);
    }
}

// --- the table ---

typedef struct row {
    int n, found, right, hot, wrong, never, gave_up_rightly;
    double candles[2], days[2], rounds[2];  // sums and sums of squares
} row;

static void count(row *r, const hunt *h, bool any)
{
    r->n++;
    r->candles[0] += h->out.candles;
    r->candles[1] += (double)h->out.candles * h->out.candles;
    r->days[0] += h->out.days;
    r->days[1] += h->out.days * h->out.days;
    r->rounds[0] += h->out.rounds;
    r->rounds[1] += (double)h->out.rounds * h->out.rounds;
    if (h->out.approved < 0) {
        r->never += any;
        r->gave_up_rightly += !any;
        return;
    }
    ep_verdict_kind truth = world_truth(&h->w, h->out.approved);
    r->found++;
    r->right += truth == EP_VERDICT_RIGHT;
    r->wrong += truth != EP_VERDICT_RIGHT;
    r->hot += truth == EP_VERDICT_TOO_BIG;
}

static void mean(const double *s, int n, double *m, double *half)
{
    *m = s[0] / n;
    double var = n > 1 ? (s[1] - n * *m * *m) / (n - 1) : 0.0;
    *half = 1.96 * sqrt(fmax(var, 0.0) / n);
}

// Wilson interval of a share, in per cent
static void share(const char *what, int k, int n)
{
    double z2 = 1.96 * 1.96, p = n ? (double)k / n : 0.0;
    double mid = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    double half = 1.96 / (1.0 + z2 / n) * sqrt(p * (1.0 - p) / n + z2 / (4.0 * n * n));
    printf("  %s %.0f %% (%.0f-%.0f)", what, 100.0 * p, 100.0 * (mid - half), 100.0 * (mid + half));
}

static void print_row(const char *name, const row *r)
{
    double m, half;
    printf("%-22s", name);
    mean(r->candles, r->n, &m, &half);
    printf(" candles %.2f +-%.2f", m, half);
    mean(r->rounds, r->n, &m, &half);
    printf("  rounds %.2f +-%.2f", m, half);
    mean(r->days, r->n, &m, &half);
    printf("  days %.0f +-%.0f\n%-22s", m, half, "");
    share("right", r->right, r->n);
    share("wrongly approved", r->wrong, r->n);
    share("too hot approved", r->hot, r->n);
    share("never found", r->never, r->n);
    printf("\n");
}

typedef void (*way)(hunt *h);

static void bench(const char *title, int makers, uint64_t seed, const world_opts *o)
{
    static const struct {
        const char *name;
        way go;
    } ways[] = {{"stepping", step_up_and_down},
                {"three at once", three_at_once},
                {"evenpool", the_programs_way}};
    row rows[3] = {0};
    struct timespec a, b;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &a);
    for (int i = 0; i < makers; i++) {
        world w = world_make(seed + (uint64_t)i, o);
        bool any = false;
        for (int k = 0; k < WORLD_SIZES; k++) {
            any = any || world_truth(&w, k) == EP_VERDICT_RIGHT;
        }
        for (int k = 0; k < 3; k++) {
            hunt h;
            hunt_open(&h, seed + (uint64_t)i, o);
            ways[k].go(&h);
            count(&rows[k], &h, any);
            if (getenv("EP_SHOW")) {
                printf("maker %d %-14s candles %d rounds %d approved %d truth %s\n", i,
                       ways[k].name, h.out.candles, h.out.rounds, h.out.approved,
                       h.out.approved < 0 ? "-" : ep_verdict_key(world_truth(&w, h.out.approved)));
            }
            hunt_close(&h);
        }
    }
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &b);
    printf("\n%s: %d makers, %.0f s of one core\n", title, makers,
           (double)(b.tv_sec - a.tv_sec) + 1e-9 * (double)(b.tv_nsec - a.tv_nsec));
    for (int k = 0; k < 3; k++) {
        print_row(ways[k].name, &rows[k]);
    }
    fflush(stdout);
}

int main(int argc, char **argv)
{
    setvbuf(stdout, NULL, _IOLBF, 0);
    const int makers = argc > 1 ? atoi(argv[1]) : 6;
    const uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    const world_opts fair = {1.0, 0.045, 0.0, 0.01, 0.3}, biased = {1.0, 0.045, 0.35, 0.01, 0.3},
                     rough = {2.0, 0.09, 0.0, 0.03, 0.5};
    if (makers < 1 || makers > 5000) {
        fprintf(stderr, "makers: %d is outside 1 to 5000\n", makers);
        return 2;
    }
    bench("fair first guess", makers, seed, &fair);
    if (!getenv("EP_FAIR_ONLY")) {
        bench("first guess off by 40 %", (makers + 1) / 2, seed + 5000, &biased);
        bench("twice the noise and scatter", (makers + 1) / 2, seed + 9000, &rough);
    }
    return 0;
}
