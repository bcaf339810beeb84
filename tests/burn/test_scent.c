// Eq. B22: what a pool gives off of its fragrance, and that a fragrance's pressure ends at one
// atmosphere.
#include "candle.h"

static const double LOAD = 0.06;

// a braid that melts the jar wide open, and a fragrance of these pressures that changes nothing
// else
static ep_trace *scented(double p25_Pa, double p60_Pa)
{
    ep_burn_case c = candle_plain();
    c.wick = candle_braid(2.0);
    c.schedule.max_sessions = 1;
    c.melt.fragrance_frac = LOAD;
    c.melt.p25_Pa = p25_Pa;
    c.melt.p60_Pa = p60_Pa;
    return candle_burn(&c);
}

// Clausius-Clapeyron through both pressures, at 70 C
static double at_70_C_Pa(double p25_Pa, double p60_Pa)
{
    double share = (1.0 / 298.15 - 1.0 / 343.15) / (1.0 / 298.15 - 1.0 / 333.15);
    return p25_Pa * pow(p60_Pa / p25_Pa, share);
}

// a fragrance that boils at some 72 C: no pool of this jar, 70 mm wide, can give off more than all
// of its surface at one atmosphere; the straight line would have made it four times as much
static void a_boiling_fragrance_gives_no_more(void **state)
{
    (void)state;
    const double p25_Pa = 50.0, p60_Pa = 20e3;
    double boiling = 101325.0 / at_70_C_Pa(p25_Pa, p60_Pa);
    assert_true(boiling > 1.1 && boiling < 1.2);
    ep_trace *t = scented(p25_Pa, p60_Pa);
    double most = 0.0;
    for (int n = 0; n < t->n_samples; n++) {
        most = fmax(most, t->sample[n].scent_rel);
    }
    double full = boiling * LOAD / 0.08;
    assert_true(most <= full * (1.0 + 1e-9));
    // and a good part of it, round the wick, does
    assert_true(most >= 0.4 * full);
    ep_trace_destroy(t);
}

// far from boiling only the ratio of both pressures counts, and a steeper one gains more with heat
static void far_from_boiling(void **state)
{
    (void)state;
    ep_trace *weak = scented(0.1, 2.0), *strong = scented(1.0, 20.0), *steep = scented(0.1, 8.0);
    const ep_sample *a = candle_at(weak, 1, 240.0), *b = candle_at(strong, 1, 240.0);
    check_rel(b->scent_rel, a->scent_rel, 1e-12);
    // hotter than the 70 C that count as one: steeper is more
    assert_true(candle_at(steep, 1, 240.0)->scent_rel > 1.1 * a->scent_rel);
    assert_true(a->scent_rel > 0.0);
    ep_trace_destroy(weak);
    ep_trace_destroy(strong);
    ep_trace_destroy(steep);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_boiling_fragrance_gives_no_more),
        cmocka_unit_test(far_from_boiling),
    };
    return cmocka_run_group_tests_name("scent", tests, NULL, NULL);
}
