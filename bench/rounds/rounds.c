// How many candles, days and rounds until a wick is proven: the program's way against habits of
// makers (hunt.h). Virtual makers whose physics is not the engine's (world.h). All ways burn
// candles the same way and are judged by the same judge, once with the usual three candles to the
// end for a proof, once with as many as the margins need (J31). Usage: bench_rounds [makers] [seed]
// [workers] [kinds]; kinds of makers are numbered 1 to 3, "12" leaves the third out. The second and
// third kind have half as many makers. Every row gives 95 % intervals; seeds are fixed.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "mind.h"
#include "plan/next.h"

// --- one cell of a table: a way under a rule of proof ---

typedef struct row {
    int n, found, right, hot, small, wrong, never, none_rightly;
    double candles[2], days[2], rounds[2];  // sums and sums of squares
    double stated;                          // chances of being wrong, as stated
} row;

static void add(double *sums, double x)
{
    sums[0] += x;
    sums[1] += x * x;
}

static void count(row *r, const hunt *h, bool any)
{
    r->n++;
    add(r->candles, h->out.candles);
    add(r->days, h->out.days);
    add(r->rounds, h->out.rounds);
    if (h->out.approved < 0) {
        r->never += any;
        r->none_rightly += !any;
        return;
    }
    ep_verdict_kind truth = world_truth(&h->w, h->out.approved);
    r->found++;
    r->right += truth == EP_VERDICT_RIGHT;
    r->wrong += truth != EP_VERDICT_RIGHT;
    r->hot += truth == EP_VERDICT_TOO_BIG;
    r->small += truth == EP_VERDICT_TOO_SMALL;
    r->stated += isnan(h->out.chance_wrong) ? 0.0 : h->out.chance_wrong;
}

static void merge(row *a, const row *b)
{
    a->n += b->n;
    a->found += b->found;
    a->right += b->right;
    a->hot += b->hot;
    a->small += b->small;
    a->wrong += b->wrong;
    a->never += b->never;
    a->none_rightly += b->none_rightly;
    a->stated += b->stated;
    for (int i = 0; i < 2; i++) {
        a->candles[i] += b->candles[i];
        a->days[i] += b->days[i];
        a->rounds[i] += b->rounds[i];
    }
}

static void print_mean(const char *what, const double *s, int n, int digits)
{
    double m = s[0] / n, var = n > 1 ? (s[1] - n * m * m) / (n - 1) : 0.0;
    printf(" | %s%.*f +-%.*f", what, digits, m, digits, 1.96 * sqrt(fmax(var, 0.0) / n));
}

// Wilson interval of a share, in per cent
static void print_share(int k, int n)
{
    double z2 = 1.96 * 1.96, p = (double)k / n;
    double mid = (p + z2 / (2.0 * n)) / (1.0 + z2 / n);
    double half = 1.96 / (1.0 + z2 / n) * sqrt(p * (1.0 - p) / n + z2 / (4.0 * n * n));
    printf(" | %.1f %% (%.0f-%.0f)", 100.0 * p, fmax(100.0 * (mid - half), 0.0),
           100.0 * (mid + half));
}

static void print_row(const char *rule, const char *name, const row *r)
{
    printf("| %s | %s", rule, name);
    print_mean("", r->candles, r->n, 2);
    print_mean("", r->rounds, r->n, 2);
    print_mean("", r->days, r->n, 0);
    print_share(r->right, r->n);
    print_share(r->hot, r->n);
    print_share(r->wrong, r->n);
    print_share(r->never, r->n);
    printf(" |\n");
}

// --- ways, rules and rows of makers ---

enum { WAYS = 5, RULES = 2, MAKERS = 3 };
static const char *const way_name[WAYS] = {"stepping", "three at once", "three identical, stepping",
                                           "who knows", "program"};
static const char *const rule_name[RULES] = {"three", "as margins need"};
static const char *const makers_name[MAKERS] = {"fair first guess", "first guess off by 40 %",
                                                "twice the noise and scatter"};
static const world_opts makers_of[MAKERS] = {
    {1.0, 0.045, 0.0, 0.01, 0.3}, {1.0, 0.045, 0.35, 0.01, 0.3}, {2.0, 0.09, 0.0, 0.03, 0.5}};

// what a single candle of a size is judged; the last column is "put it out"
enum { ENDS = EP_VERDICT_COUNT_ + 1 };

typedef struct table {
    row cell[MAKERS][RULES][WAYS];
    int single[MAKERS][EP_VERDICT_COUNT_][ENDS];  // by the truth
    double cpu_s;
} table;

typedef struct job {
    int makers;
    uint64_t seed;
    double day_cost;
    bool kind[MAKERS];
    ep_limit limits[RULES][EP_LIMIT_COUNT_];
} job;

static void singles(const job *j, uint64_t seed, int kind, table *t)
{
    for (int size = 0; size < WORLD_SIZES; size++) {
        const int one = 1;
        hunt h;
        hunt_open(&h, seed, &makers_of[kind], j->limits[0]);
        hunt_round(&h, &size, &one, 1);
        ep_verdict v = hunt_verdict(&h, size);
        t->single[kind][world_truth(&h.w, size)][v.stop_now ? EP_VERDICT_COUNT_ : (int)v.kind]++;
        hunt_close(&h);
    }
}

static void search(const job *j, const stock *s, uint64_t seed, int kind, table *t)
{
    const world_opts *o = &makers_of[kind];
    world w = world_make(seed, o);
    bool any = false;
    for (int k = 0; k < WORLD_SIZES; k++) {
        any = any || world_truth(&w, k) == EP_VERDICT_RIGHT;
    }
    for (int rule = 0; rule < RULES; rule++) {
        for (int way = 0; way < WAYS; way++) {
            hunt h;
            hunt_open(&h, seed, o, j->limits[rule]);
            if (way == 0) {
                hunt_step(&h);
            } else if (way == 1) {
                hunt_three(&h);
            } else if (way == 2) {
                hunt_identical(&h);
            } else if (way == 3) {
                hunt_knowing(&h);
            } else {
                mind_hunt(&h, s, rule == 0 ? NEED : 1, j->day_cost);
            }
            count(&t->cell[kind][rule][way], &h, any);
            if (getenv("EP_SHOW")) {
                printf("maker %d %s, %s: candles %d rounds %d approved %d truth %s\n", (int)seed,
                       way_name[way], rule_name[rule], h.out.candles, h.out.rounds, h.out.approved,
                       h.out.approved < 0 ? "-" : ep_verdict_key(world_truth(&w, h.out.approved)));
            }
            hunt_close(&h);
        }
    }
}

// the makers of every `workers`-th shelf, shelf by shelf: each shelf is simulated once
static void work(const job *j, int worker, int workers, table *t)
{
    struct timespec a;
    for (int shelf = worker; shelf < WORLD_SHELVES; shelf += workers) {
        stock *s = stock_make(shelf);
        for (int kind = 0; kind < MAKERS; kind++) {
            int n = !j->kind[kind] ? 0 : kind == 0 ? j->makers : (j->makers + 1) / 2;
            uint64_t seed = j->seed + 10000u * (uint64_t)kind;
            for (int i = 0; i < n; i++) {
                if ((seed + (uint64_t)i) % WORLD_SHELVES == (uint64_t)shelf) {
                    search(j, s, seed + (uint64_t)i, kind, t);
                    singles(j, seed + (uint64_t)i, kind, t);
                }
            }
        }
        stock_destroy(s);
    }
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &a);
    t->cpu_s = (double)a.tv_sec + 1e-9 * (double)a.tv_nsec;
}

static int start(const job *j, int worker, int workers)
{
    int pipes[2];
    if (pipe(pipes) != 0) {
        abort();
    }
    pid_t pid = fork();
    if (pid < 0) {
        abort();
    }
    if (pid == 0) {
        static table t;
        close(pipes[0]);
        work(j, worker, workers, &t);
        fflush(stdout);
        const char *at = (const char *)&t;
        for (size_t done = 0; done < sizeof t;) {
            ssize_t n = write(pipes[1], at + done, sizeof t - done);
            if (n <= 0) {
                _exit(1);
            }
            done += (size_t)n;
        }
        _exit(0);
    }
    close(pipes[1]);
    return pipes[0];
}

static void collect(int from, table *sum)
{
    static table t;
    size_t done = 0;
    for (ssize_t n = 1; n > 0 && done<sizeof t; done += n> 0 ? (size_t)n : 0) {
        n = read(from, (char *)&t + done, sizeof t - done);
    }
    close(from);
    if (done != sizeof t) {
        fprintf(stderr, "a worker failed\n");
        exit(3);
    }
    for (int i = 0; i < MAKERS * RULES * WAYS; i++) {
        merge(&sum->cell[0][0][0] + i, &t.cell[0][0][0] + i);
    }
    for (int i = 0; i < MAKERS * EP_VERDICT_COUNT_ * ENDS; i++) {
        (&sum->single[0][0][0])[i] += (&t.single[0][0][0])[i];
    }
    sum->cpu_s += t.cpu_s;
}

// how often one candle is judged against what its wick is
static void print_singles(const table *t, int kind)
{
    for (int truth = 0; truth < EP_VERDICT_COUNT_; truth++) {
        const int *n = t->single[kind][truth];
        int all = 0;
        for (int i = 0; i < ENDS; i++) {
            all += n[i];
        }
        if (all > 0) {
            printf("one candle of a wick that is %s: %d; too small %d, too big %d, wrong kind %d, "
                   "put out %d\n",
                   ep_verdict_key((ep_verdict_kind)truth), all, n[EP_VERDICT_TOO_SMALL],
                   n[EP_VERDICT_TOO_BIG], n[EP_VERDICT_WRONG_KIND], n[EP_VERDICT_COUNT_]);
        }
    }
}

static void print_table(const job *j, const table *t)
{
    printf("seed %d, a day costs %.2f candles, %.0f s of one core\n", (int)j->seed, j->day_cost,
           t->cpu_s);
    for (int kind = 0; kind < MAKERS; kind++) {
        const row *first = &t->cell[kind][0][0];
        if (!j->kind[kind]) {
            continue;
        }
        printf("\n%s: %d makers\n", makers_name[kind], first->n);
        printf("| proof | way | candles | rounds | days | right | too hot approved | wrongly "
               "approved | never found |\n|---|---|---|---|---|---|---|---|---|\n");
        for (int rule = 0; rule < RULES; rule++) {
            for (int way = 0; way < WAYS; way++) {
                print_row(rule_name[rule], way_name[way], &t->cell[kind][rule][way]);
            }
            const row *p = &t->cell[kind][rule][WAYS - 1];
            printf("program: stated chance of being wrong, mean %.1f %%, came true %.1f %% of %d; "
                   "none right and none found: %d\n",
                   p->found ? 100.0 * p->stated / p->found : 0.0,
                   p->found ? 100.0 * p->wrong / p->found : 0.0, p->found, p->none_rightly);
        }
        print_singles(t, kind);
    }
}

int main(int argc, char **argv)
{
    setvbuf(stdout, NULL, _IOLBF, 0);
    static job j;
    static table sum;
    int from[WORLD_SHELVES];
    j.makers = argc > 1 ? atoi(argv[1]) : 8;
    j.seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    const int workers = argc > 3 ? atoi(argv[3]) : 2;
    const char *day = getenv("EP_DAY_COST");
    j.day_cost = day ? atof(day) : EP_NEXT_DAY_COST;
    if (j.makers < 1 || j.makers > 5000 || workers < 1 || workers > WORLD_SHELVES) {
        fprintf(stderr, "makers: 1 to 5000, workers: 1 to %d\n", WORLD_SHELVES);
        return 2;
    }
    const char *kinds = argc > 4 ? argv[4] : "123";
    if (!*kinds || strspn(kinds, "123") != strlen(kinds)) {
        fprintf(stderr, "kinds: some of 123\n");
        return 2;
    }
    for (int kind = 0; kind < MAKERS; kind++) {
        j.kind[kind] = strchr(kinds, '1' + kind) != NULL;
    }
    for (int rule = 0; rule < RULES; rule++) {
        memcpy(j.limits[rule], ep_limits_default(), sizeof j.limits[rule]);
    }
    j.limits[1][EP_LIMIT_MIN_CANDLES_WIDE].value = 1.0;
    for (int i = 0; i < workers; i++) {
        from[i] = start(&j, i, workers);
    }
    for (int i = 0; i < workers; i++) {
        collect(from[i], &sum);
    }
    while (wait(NULL) > 0) {
    }
    print_table(&j, &sum);
    return 0;
}
