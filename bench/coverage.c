// How often what is believed holds what is true: invented makers whose candles are the engine's own
// with factors drawn from the tables' ranges, half of the readings forgotten. Prints how many of
// the 90 % intervals hold the truth, how wide they are, and what it cost.
//   bench_coverage [-makers 40] [-first 0] [-sessions 3] [-wicks 1] [-candles 1] [-keep 0.5]
//   [-misfit 0] [-each 0] [-tried 0]
// -misfit 1: readings carry a misfit drawn from the model's prior too, as the model has it; 0: the
// engine is right, which the model does not know.
#include <math.h>
#include <time.h>

#include "../tests/learn/maker.h"

enum { MOST_WICKS = 3 };
static const double G_M[MOST_WICKS] = {1.2, 1.6, 0.9};

typedef struct opts {
    double makers, first, sessions, wicks, candles, keep, misfit, each, tried;
} opts;

typedef struct tally {
    int n, inside[MAKER_PARAMS], stuck, how[4], runs;
    double width[MAKER_PARAMS], z[MAKER_PARAMS], z2[MAKER_PARAMS];
    double shrunk[MAKER_PARAMS];
} tally;

static void read_opts(int argc, char **argv, opts *o)
{
    struct {
        const char *name;
        double *to;
    } known[] = {{"-makers", &o->makers}, {"-first", &o->first},     {"-sessions", &o->sessions},
                 {"-wicks", &o->wicks},   {"-candles", &o->candles}, {"-keep", &o->keep},
                 {"-misfit", &o->misfit}, {"-each", &o->each},       {"-tried", &o->tried}};
    for (int i = 1; i < argc; i += 2) {
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof *known && i + 1 < argc; k++) {
            if (strcmp(argv[i], known[k].name) == 0) {
                *known[k].to = atof(argv[i + 1]);
                found = true;
            }
        }
        if (!found) {
            fprintf(stderr, "%s: not an option, or without its value\n", argv[i]);
            exit(2);
        }
    }
}

// the readings of one wick shifted by a misfit of the maker's own
static void put_misfit(ep_evidence *e, const double *bias, double misfit, double size_x)
{
    for (int i = 0; i < e->n; i++) {
        ep_datum *d = &e->datum[i];
        if (d->kind <= EP_DATUM_EXPOSED) {
            d->value += ep_model_bias(d->kind, bias, misfit,
                                      (ep_place_in_life){d->life, d->minute, size_x});
        }
    }
}

static void one_maker(const opts *o, int maker, tally *t)
{
    double truth[MAKER_PARAMS], bias[EP_BIAS_COUNT];
    ep_rng r = ep_rng_make(2024, (uint64_t)maker);
    for (int p = 0; p < MAKER_PARAMS; p++) {
        truth[p] = ep_rng_normal(&r);
    }
    const double misfit = ep_misfit_at(ep_rng_normal(&r));
    for (int k = 0; k < EP_BIAS_COUNT; k++) {
        bias[k] = ep_rng_normal(&r);
    }
    const int wicks = (int)o->wicks, candles = (int)o->candles;
    maker_notes *notes = calloc((size_t)wicks, sizeof *notes);
    ep_model_run run[MOST_WICKS] = {0};
    int block = 0;
    for (int w = 0; w < wicks; w++) {
        run[w] =
            (ep_model_run){.burn = maker_case(G_M[w], (int)o->sessions), .first_candle = block};
        maker_terms(&run[w]);
        run[w].size_x = log(G_M[w] / 1.2) / 0.3;
        ep_factors x = ep_model_factors(&run[w], truth, 0.0);
        maker_burn(&notes[w], &run[w].burn, &x, candles, 0.045, o->keep,
                   50 + (uint64_t)maker + 1000 * (uint64_t)w);
        assert_int_equal(ep_evidence_of(&notes[w].d, &run[w].evidence), EP_OK);
        if (o->misfit > 0.0) {
            put_misfit(&run[w].evidence, bias, misfit, run[w].size_x);
        }
        block += candles;
    }
    const ep_model m = {MAKER_PARAMS, 1, &block, wicks, run, 0};
    ep_belief_opts b = {.seed = 1, .draws = 64, .tried = (int)o->tried};
    ep_belief *x = NULL;
    assert_int_equal(ep_belief_learn(&m, &b, &x, NULL), EP_OK);
    int held = 0;
    for (int p = 0; p < MAKER_PARAMS; p++) {
        double z = (x->mean[p] - truth[p]) / x->sd[p];
        held += fabs(z) < 1.6449;
        t->inside[p] += fabs(z) < 1.6449;
        t->width[p] += 2.0 * 1.6449 * x->sd[p];
        t->z[p] += z;
        t->z2[p] += z * z;
    }
    t->n++;
    t->stuck += !x->converged;
    t->how[x->how]++;
    t->runs += x->engine_runs;
    if (o->each > 0.0) {
        printf("maker %d: %d of %d held, %d data, %d burns, %d steps, %s, scatter %.3f, misfit "
               "%.2f, khat %.2f\n",
               maker, held, MAKER_PARAMS, x->n_data, x->engine_runs, x->steps,
               x->converged ? "converged" : "stuck", x->scatter_sd, x->misfit, x->diag.khat);
        for (int p = 0; p < MAKER_PARAMS && o->each > 1.0; p++) {
            printf("   %-18s truth %5.2f mode %5.2f mean %5.2f sd %4.2f\n",
                   ep_uncertain_key((ep_uncertain)p), truth[p], x->mode[p], x->mean[p], x->sd[p]);
        }
    }
    ep_belief_destroy(x);
    for (int w = 0; w < wicks; w++) {
        ep_evidence_clear(&run[w].evidence);
    }
    free(notes);
}

int main(int argc, char **argv)
{
    opts o = {.makers = 40, .sessions = 3, .wicks = 1, .candles = 1, .keep = 0.5};
    read_opts(argc, argv, &o);
    if (o.wicks < 1 || o.wicks > MOST_WICKS || o.candles < 1 || o.candles > MAKER_CANDLES) {
        fprintf(stderr, "wicks 1 to %d, candles 1 to %d\n", MOST_WICKS, MAKER_CANDLES);
        return 2;
    }
    static tally t;
    const clock_t start = clock();
    for (int i = 0; i < (int)o.makers; i++) {
        one_maker(&o, (int)o.first + i, &t);
    }
    int inside = 0;
    double width = 0.0;
    printf("%-20s %8s %8s %8s %8s\n", "factor", "held %", "width", "mean z", "rms z");
    for (int p = 0; p < MAKER_PARAMS; p++) {
        printf("%-20s %8.1f %8.2f %8.2f %8.2f\n", ep_uncertain_key((ep_uncertain)p),
               100.0 * t.inside[p] / t.n, t.width[p] / t.n, t.z[p] / t.n, sqrt(t.z2[p] / t.n));
        inside += t.inside[p];
        width += t.width[p] / t.n;
    }
    printf("90 %% intervals held %d of %d (%.1f %%), mean width %.2f prior sd; %d of %d makers not "
           "converged; how %d %d %d %d; %d burns, %.1f s of "
           "processor time\n",
           inside, t.n * MAKER_PARAMS, 100.0 * inside / (t.n * MAKER_PARAMS), width / MAKER_PARAMS,
           t.stuck, t.n, t.how[0], t.how[1], t.how[2], t.how[3], t.runs,
           (double)(clock() - start) / CLOCKS_PER_SEC);
    return 0;
}
