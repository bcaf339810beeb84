// One plain conduction-and-melting case on the engine's field, timed: what the peers are compared
// with. Arguments are the fields of a case file (docs/verify.md), `-n` cells per mm, `-repeat`
// runs.
#include "bench.h"

#include <math.h>

#include "burn/plain.h"

// heat.0.power_W, heat.1.power_W and so on; without a number the one disc in the middle
static void read_discs(int argc, char **argv, ep_plain_case *c)
{
    for (int n = 0; n < (c->in_vessel ? EP_MAX_WICKS : 1); n++) {
        double *value[] = {&c->disc[n].x_m, &c->disc[n].y_m, &c->disc[n].radius_m,
                           &c->disc[n].power_W};
        static const char *const key[] = {"x_m", "y_m", "disc_radius_m", "power_W"};
        char name[40];
        for (int i = 0; i < 4; i++) {
            if (c->in_vessel) {
                snprintf(name, sizeof name, "-heat.%d.%s", n, key[i]);
            } else {
                snprintf(name, sizeof name, "-heat.%s", key[i]);
            }
            *value[i] = bench_number(argc, argv, name, 0.0);
        }
        c->n_discs += c->disc[n].power_W > 0.0;
    }
}

static ep_plain_case read_case(int argc, char **argv)
{
#define NUMBER(name) bench_number(argc, argv, "-" name, (double)NAN)
    ep_plain_case c = {.in_vessel = bench_word(argc, argv, "-vessel.outline", NULL) != NULL,
                       .wax_radius_m = NUMBER("wax.radius_m"),
                       .wax_height_m = NUMBER("wax.height_m"),
                       .k_W_mK = NUMBER("wax.k_W_mK"),
                       .rho_kg_m3 = NUMBER("wax.rho_kg_m3"),
                       .cp_J_kgK = NUMBER("wax.cp_J_kgK"),
                       .latent_J_kg = NUMBER("wax.latent_J_kg"),
                       .solidus_C = NUMBER("wax.solidus_C"),
                       .liquidus_C = NUMBER("wax.liquidus_C"),
                       .wall_m = NUMBER("wall.thickness_m"),
                       .wall_k_W_mK = NUMBER("wall.k_W_mK"),
                       .wall_rho_kg_m3 = NUMBER("wall.rho_kg_m3"),
                       .wall_cp_J_kgK = NUMBER("wall.cp_J_kgK"),
                       .top_W_m2K = NUMBER("film.top_W_m2K"),
                       .side_W_m2K = NUMBER("film.side_W_m2K"),
                       .base_W_m2K = NUMBER("film.base_W_m2K"),
                       .ambient_C = NUMBER("film.ambient_C"),
                       .start_C = NUMBER("start_C"),
                       .cells_per_mm = NUMBER("n")};
    if (c.in_vessel) {
        c.vessel = ep_vessel_straight(NUMBER("vessel.length_m"), NUMBER("vessel.height_m"),
                                      c.wall_m, NUMBER("vessel.base_m"));
        c.vessel.across_frac = bench_number(argc, argv, "-vessel.across_frac", 1.0);
        c.vessel.corner_frac = bench_number(argc, argv, "-vessel.corner_frac", 0.0);
        if (!ep_outline_find(bench_word(argc, argv, "-vessel.outline", ""), &c.vessel.outline)) {
            fprintf(stderr, "vessel.outline: round, rectangle or oval\n");
            exit(2);
        }
    }
#undef NUMBER
    read_discs(argc, argv, &c);
    c.n_hours = (int)bench_number(argc, argv, "-hours", 4.0);
    for (int n = 0; n < c.n_hours && n < EP_PLAIN_MAX_HOURS; n++) {
        c.hour[n] = n + 1.0;
    }
    return c;
}

int main(int argc, char **argv)
{
    const ep_plain_case c = read_case(argc, argv);
    const int repeat = (int)bench_number(argc, argv, "-repeat", 1.0);
    ep_plain_answer answer[EP_PLAIN_MAX_HOURS];
    bench_time best = BENCH_NEVER;
    ep_err err = {0};
    // the time holds everything from the case to its answer, grid and memory included
    for (int n = 0; n < repeat; n++) {
        bench_time start = bench_now();
        if (ep_plain_run(&c, answer, NULL, &err) != EP_OK) {
            fprintf(stderr, "%s\n", err.text);
            return 2;
        }
        bench_keep_least(&best, bench_since(start));
    }
    for (int n = 0; n < c.n_hours; n++) {
        const ep_plain_answer *a = &answer[n];
        printf("hour %g R %.7g D %.7g melt %.7g wall %.8g centre %.8g stored %.9g\n", a->hour,
               a->melt_radius_m * 1e3, a->melt_depth_m * 1e3, a->melted_kg * 1e3, a->wall_max_C,
               a->centre_C, a->stored_J);
    }
    printf("done evenpool n %g ledger %.1e wall_s %.6f cpu_s %.6f\n", c.cells_per_mm,
           answer[c.n_hours - 1].ledger, best.wall_s, best.cpu_s);
    return 0;
}
