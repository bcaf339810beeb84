// Three whole lives kept as text. A number that leaves its tolerance is a change of the forecast:
// find out why, say so in the changelog, then write the files anew with
//     EP_GOLDEN_WRITE=1 build/tests/burn/test_golden
// The files hold what the engine says, not what a candle did.
#include "candle.h"

enum { COLUMNS = 9 };
static const char HEAD[] =
    "session lit_h burned_g reach depth_mm hangup_g wall_C flame_mm exposed_mm";
// how far each column may move, in its own unit
static const double TOLERANCE[COLUMNS] = {0.0, 0.02, 0.08, 0.01, 0.2, 0.5, 0.4, 0.3, 0.15};

static ep_burn_case braid_in_glass(void)
{
    return candle_plain();
}

static ep_burn_case soy_in_tin(void)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-tinplate-lacquered", 74.0, 48.0, 0.25, 40.0);
    c.melt = candle_melt((candle_part[]){{"std-wax-soy", 0.93}, {"std-fragrance-floral", 0.07}}, 2);
    c.wick = candle_wick_of("std-wick-coreless-paper", 1.8, 0.0, 0.0, 0.0);
    return c;
}

static ep_burn_case wood_in_stoneware(void)
{
    ep_burn_case c = candle_plain();
    candle_jar(&c, "std-container-stoneware", 84.0, 80.0, 5.0, 60.0);
    c.vessel.n_stations = 3;
    c.vessel.station[2] = c.vessel.station[1];
    c.vessel.station[1] = (ep_station){0.030, 0.090};
    c.melt = candle_wax("std-wax-coconut");
    c.wick = candle_wick_of("std-wick-wooden", 5.2, 13.0, 0.7, 0.0);
    c.schedule.trim_m = 4e-3;
    return c;
}

static const struct {
    const char *file;
    ep_burn_case (*make)(void);
} LIFE[] = {{"braid-in-glass.txt", braid_in_glass},
            {"soy-in-tin.txt", soy_in_tin},
            {"wood-in-stoneware.txt", wood_in_stoneware}};

static void row_of(const ep_session_sum *s, double *row)
{
    const double now[COLUMNS] = {s->number,         s->lit_s / 3600.0,    s->burned_kg * 1e3,
                                 s->reach_end_frac, s->depth_mid_m * 1e3, s->hangup_kg * 1e3,
                                 s->wall_max_C,     s->flame_max_m * 1e3, s->exposed_end_m * 1e3};
    memcpy(row, now, sizeof now);
}

static void write_life(FILE *out, const ep_trace *t)
{
    fprintf(out, "%s\n", HEAD);
    for (int n = 0; n < t->n_sessions; n++) {
        double row[COLUMNS];
        row_of(&t->session[n], row);
        for (int i = 0; i < COLUMNS; i++) {
            fprintf(out, i == 0 ? "%.0f" : " %.4f", row[i]);
        }
        fprintf(out, "\n");
    }
    fprintf(out, "end %s\n", ep_out_key(t->end)[0] ? ep_out_key(t->end) : "still_lit");
}

static void compare_row(const char *file, const char *line, const ep_session_sum *s)
{
    double now[COLUMNS], then[COLUMNS];
    row_of(s, now);
    char *at = (char *)(uintptr_t)line;
    for (int i = 0; i < COLUMNS; i++) {
        then[i] = strtod(at, &at);
        if (!(fabs(now[i] - then[i]) <= TOLERANCE[i])) {
            fail_msg("%s, session %d, column %d of \"%s\": was %.4f, is %.4f", file, s->number,
                     i + 1, HEAD, then[i], now[i]);
        }
    }
}

static void compare_life(const char *file, FILE *in, const ep_trace *t)
{
    char line[512];
    int n = 0;
    assert_non_null(fgets(line, sizeof line, in));
    while (fgets(line, sizeof line, in)) {
        if (strncmp(line, "end ", 4) == 0) {
            check_has(line, ep_out_key(t->end));
            break;
        }
        if (n >= t->n_sessions) {
            fail_msg("%s: %d sessions were kept, there are %d now", file, n + 1, t->n_sessions);
        }
        compare_row(file, line, &t->session[n++]);
    }
    assert_int_equal(n, t->n_sessions);
}

static void kept_lives(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof LIFE / sizeof *LIFE; i++) {
        char path[600];
        snprintf(path, sizeof path, "%s/%s", EP_GOLDEN_DIR, LIFE[i].file);
        ep_burn_case c = LIFE[i].make();
        ep_trace *t = candle_burn(&c);
        const bool writing = getenv("EP_GOLDEN_WRITE") != NULL;
        FILE *f = fopen(path, writing ? "w" : "r");
        assert_non_null(f);
        if (writing) {
            write_life(f, t);
        } else {
            compare_life(LIFE[i].file, f, t);
        }
        fclose(f);
        ep_trace_destroy(t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(kept_lives)};
    return cmocka_run_group_tests_name("golden", tests, NULL, NULL);
}
