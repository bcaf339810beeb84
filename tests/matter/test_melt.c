// Mixing rules M1-M8: limits, order, betweenness, hand examples, laws over temperature.
#include <stdio.h>

#include "base/rng.h"
#include "matter/melt.h"

#include "../base/check.h"

static const ep_material *mat(const char *id)
{
    const ep_material *m = ep_builtin_find(id);
    assert_non_null(m);
    return m;
}

static ep_melt mixed(const ep_blend_part *part, int n)
{
    ep_melt out = {0};
    ep_err err = {0};
    if (ep_melt_mix(part, n, &out, &err) != EP_OK) {
        fail_msg("refused: %s", err.text);
    }
    return out;
}

// the ranged results of a mix, for checks that hold for all of them
enum { RANGED = 12 };
static void ranged(const ep_melt *m, const ep_prop *out[RANGED])
{
    const ep_prop *all[RANGED] = {
        &m->solidus_K,       &m->liquidus_K,   &m->latent_J_kg,      &m->cp_solid_J_kgK,
        &m->cp_liquid_J_kgK, &m->k_solid_W_mK, &m->k_liquid_W_mK,    &m->rho_solid_kg_m3,
        &m->mu80_Pas,        &m->lhv_J_kg,     &m->rho_liquid_kg_m3, &m->absorb_factor,
    };
    memcpy(out, all, sizeof all);
}

static void same_prop(const ep_prop *got, const ep_prop *want)
{
    check_rel(got->value, want->value, 1e-13);
    check_rel(got->lo, want->lo, 1e-13);
    check_rel(got->hi, want->hi, 1e-13);
    assert_int_equal(got->how, want->how);
    assert_string_equal(got->src, want->src);
}

// limit: a mix of one wax is that wax, origins and all
static void a_pure_wax_is_itself(void **state)
{
    (void)state;
    for (int i = 0; i < ep_builtin_count(EP_MAT_WAX); i++) {
        const ep_material *w = ep_builtin(EP_MAT_WAX, i);
        ep_blend_part part = {w, 1.0};
        ep_melt m = mixed(&part, 1);
        const ep_prop *p = w->prop;
        same_prop(&m.solidus_K, &p[EP_WAX_SOLIDUS]);
        same_prop(&m.liquidus_K, &p[EP_WAX_LIQUIDUS]);
        same_prop(&m.latent_J_kg, &p[EP_WAX_LATENT]);
        same_prop(&m.cp_solid_J_kgK, &p[EP_WAX_CP_SOLID]);
        same_prop(&m.cp_liquid_J_kgK, &p[EP_WAX_CP_LIQUID]);
        same_prop(&m.k_solid_W_mK, &p[EP_WAX_K_SOLID]);
        same_prop(&m.k_liquid_W_mK, &p[EP_WAX_K_LIQUID]);
        same_prop(&m.rho_solid_kg_m3, &p[EP_WAX_RHO_SOLID]);
        same_prop(&m.rho_liquid_kg_m3, &p[EP_WAX_RHO_LIQUID]);
        same_prop(&m.mu80_Pas, &p[EP_WAX_MU]);
        same_prop(&m.lhv_J_kg, &p[EP_WAX_LHV]);
        check_rel(m.rho_slope_kg_m3K, p[EP_WAX_RHO_SLOPE].value, 1e-12);
        check_rel(m.andrade_K, p[EP_WAX_ANDRADE].value, 1e-12);
        check_rel(m.sigma80_N_m, p[EP_WAX_SIGMA].value, 1e-12);
        check_rel(m.sigma_slope_N_mK, p[EP_WAX_SIGMA_SLOPE].value * 1e-3, 1e-12);
        check_rel(m.air_fuel, p[EP_WAX_AIR].value, 1e-12);
        check_rel(m.smoke_factor, p[EP_WAX_SMOKE].value, 1e-12);
        check_rel(m.flash_K, p[EP_WAX_FLASH].value, 1e-12);
        check_rel(m.pour_K, p[EP_WAX_POUR].value, 1e-12);
        check_rel(m.add_K, p[EP_WAX_ADD].value, 1e-12);
        check_rel(m.cure_burn_s, p[EP_WAX_CURE_BURN].value, 1e-12);
        check_rel(m.cure_scent_s, p[EP_WAX_CURE_SCENT].value, 1e-12);
        check_rel(m.max_load_of_wax, p[EP_WAX_MAX_LOAD].value, 1e-12);
        check_near(m.feed_factor, 1.0, 0.0);
        check_near(m.absorb_factor.value, 1.0, 0.0);
        check_near(m.fragrance_frac, 0.0, 0.0);
        check_near(m.p60_Pa, 0.0, 0.0);
        check_near(m.p25_Pa, 0.0, 0.0);
        // law values at the reference temperature
        check_rel(ep_melt_viscosity_Pas(&m, 353.15), p[EP_WAX_MU].value, 1e-12);
        check_rel(ep_melt_surface_tension_N_m(&m, 353.15), p[EP_WAX_SIGMA].value, 1e-12);
        check_rel(ep_melt_density_kg_m3(&m, 293.15), p[EP_WAX_RHO_SOLID].value, 1e-12);
        if (p[EP_WAX_LIQUIDUS].value <= 353.15) {
            check_rel(ep_melt_density_kg_m3(&m, 353.15), p[EP_WAX_RHO_LIQUID].value, 1e-12);
        }
    }
}

// law: two halves of the same wax, or a part of share zero, change nothing
static void splitting_changes_nothing(void **state)
{
    (void)state;
    ep_blend_part whole = {mat("std-wax-soy"), 1.0};
    ep_blend_part split[] = {{mat("std-wax-soy"), 0.3},
                             {mat("std-wax-soy"), 0.7},
                             {mat("std-fragrance-resin"), 0.0},
                             {mat("std-wax-microcrystalline"), 0.0}};
    ep_melt a = mixed(&whole, 1);
    ep_melt b = mixed(split, 4);
    const ep_prop *pa[RANGED];
    const ep_prop *pb[RANGED];
    ranged(&a, pa);
    ranged(&b, pb);
    for (int i = 0; i < RANGED; i++) {
        check_rel(pb[i]->value, pa[i]->value, 1e-13);
        check_rel(pb[i]->lo, pa[i]->lo, 1e-13);
        check_rel(pb[i]->hi, pa[i]->hi, 1e-13);
        assert_int_equal(pb[i]->how, pa[i]->how);
    }
    check_rel(b.flash_K, a.flash_K, 1e-15);
    check_rel(b.cure_burn_s, a.cure_burn_s, 1e-15);
}

static void between(double x, double a, double b)
{
    double slack = 1e-12 * (fabs(a) + fabs(b));
    if (x < fmin(a, b) - slack || x > fmax(a, b) + slack) {
        fail_msg("%.15g is not between %.15g and %.15g", x, a, b);
    }
}

// law: every result of a blend of two waxes lies between the two
static void a_blend_lies_between_its_parts(void **state)
{
    (void)state;
    int n = ep_builtin_count(EP_MAT_WAX);
    for (int i = 0; i < n; i++) {
        for (int j = 0; j < i; j++) {
            ep_blend_part a = {ep_builtin(EP_MAT_WAX, i), 1.0};
            ep_blend_part b = {ep_builtin(EP_MAT_WAX, j), 1.0};
            ep_melt ma = mixed(&a, 1);
            ep_melt mb = mixed(&b, 1);
            const ep_prop *pa[RANGED];
            const ep_prop *pb[RANGED];
            const ep_prop *pm[RANGED];
            ranged(&ma, pa);
            ranged(&mb, pb);
            for (int step = 1; step < 20; step += 2) {
                double share = step / 20.0;
                ep_blend_part part[] = {{a.material, share}, {b.material, 1.0 - share}};
                ep_melt m = mixed(part, 2);
                ranged(&m, pm);
                for (int k = 0; k < RANGED; k++) {
                    between(pm[k]->value, pa[k]->value, pb[k]->value);
                    between(pm[k]->lo, pa[k]->lo, pb[k]->lo);
                    between(pm[k]->hi, pa[k]->hi, pb[k]->hi);
                }
                between(m.andrade_K, ma.andrade_K, mb.andrade_K);
                between(m.sigma80_N_m, ma.sigma80_N_m, mb.sigma80_N_m);
                between(m.air_fuel, ma.air_fuel, mb.air_fuel);
                between(m.smoke_factor, ma.smoke_factor, mb.smoke_factor);
                between(m.max_load_of_wax, ma.max_load_of_wax, mb.max_load_of_wax);
                check_near(m.flash_K, fmin(ma.flash_K, mb.flash_K), 0.0);
                check_near(m.cure_burn_s, fmax(ma.cure_burn_s, mb.cure_burn_s), 0.0);
                check_near(m.pour_K, (share > 0.5 ? ma : mb).pour_K, 0.0);
            }
        }
    }
}

// parts of a scented, dyed, hardened blend
static int full_recipe(ep_blend_part part[7])
{
    const ep_blend_part all[] = {
        {mat("std-wax-soy"), 0.4},           {mat("std-wax-coconut"), 0.4},
        {mat("std-wax-beeswax"), 0.0645},    {mat("std-fragrance-floral"), 0.06},
        {mat("std-fragrance-resin"), 0.024}, {mat("std-dye-solvent-deep"), 0.0015},
        {mat("std-additive-stearin"), 0.05},
    };
    memcpy(part, all, sizeof all);
    return 7;
}

// law: the order of the parts does not matter
static void order_does_not_matter(void **state)
{
    (void)state;
    ep_blend_part part[7];
    int n = full_recipe(part);
    ep_melt first = mixed(part, n);
    for (int turn = 1; turn < n; turn++) {
        ep_blend_part turned[7];
        for (int i = 0; i < n; i++) {
            turned[i] = part[(i * (turn % 2 ? 1 : n - 1) + turn) % n];
        }
        ep_melt m = mixed(turned, n);
        const ep_prop *pa[RANGED];
        const ep_prop *pb[RANGED];
        ranged(&first, pa);
        ranged(&m, pb);
        for (int i = 0; i < RANGED; i++) {
            check_rel(pb[i]->value, pa[i]->value, 1e-12);
            check_rel(pb[i]->lo, pa[i]->lo, 1e-12);
            check_rel(pb[i]->hi, pa[i]->hi, 1e-12);
            assert_int_equal(pb[i]->how, pa[i]->how);
        }
        check_rel(m.feed_factor, first.feed_factor, 1e-12);
        check_rel(m.air_fuel, first.air_fuel, 1e-12);
        check_rel(m.rho_slope_kg_m3K, first.rho_slope_kg_m3K, 1e-12);
        check_near(m.pour_K, first.pour_K, 0.0);  // soy and coconut tie
        check_near(m.add_K, first.add_K, 0.0);
        check_rel(m.p60_Pa, first.p60_Pa, 1e-12);
    }
}

// law: lo <= value <= hi survives any mixture (random recipes, fixed seed)
static void ranges_stay_in_order(void **state)
{
    (void)state;
    ep_rng rng = ep_rng_make(20240517, 0);
    for (int trial = 0; trial < 500; trial++) {
        ep_blend_part part[8];
        double left = 1.0;
        for (int i = 0; i < 7; i++) {
            ep_material_kind kind = i < 4   ? EP_MAT_WAX
                                    : i < 5 ? EP_MAT_FRAGRANCE
                                    : i < 6 ? EP_MAT_DYE
                                            : EP_MAT_ADDITIVE;
            int row = (int)(ep_rng_uniform(&rng) * ep_builtin_count(kind));
            part[i].material = ep_builtin(kind, row);
            part[i].frac = ep_rng_uniform(&rng) * left * (i == 5 ? 0.03 : 0.3);
            left -= part[i].frac;
        }
        part[7] = (ep_blend_part){ep_builtin(EP_MAT_WAX, 0), left};
        ep_melt m = mixed(part, 8);
        const ep_prop *p[RANGED];
        ranged(&m, p);
        for (int i = 0; i < RANGED; i++) {
            assert_true(isfinite(p[i]->lo) && isfinite(p[i]->hi) && p[i]->lo > 0.0);
            assert_true(p[i]->lo <= p[i]->value * (1 + 1e-14));
            assert_true(p[i]->value <= p[i]->hi * (1 + 1e-14));
        }
        assert_true(m.solidus_K.value < m.liquidus_K.value);
        assert_true(m.feed_factor >= 0.05 && m.feed_factor <= 1.5);
    }
}

// M2 by hand: 90 parts of 925 and 10 of 980 kg/m3 fill 1 / (0.9/925 + 0.1/980) = 930.2 kg/m3
static void volumes_add(void **state)
{
    (void)state;
    ep_blend_part part[] = {{mat("std-wax-soy"), 0.9}, {mat("std-fragrance-floral"), 0.1}};
    ep_melt m = mixed(part, 2);
    check_near(m.rho_solid_kg_m3.value, 930.22, 0.01);
    // 80 C: 867 with an oil of 980 - 0.85 * 60 = 929
    check_near(m.rho_liquid_kg_m3.value, 1.0 / (0.9 / 867 + 0.1 / 929), 1e-9);
    // slope of the mix = minus the numerical derivative of its own ideal volumes
    double h = 1e-3;
    double up = 1.0 / (0.9 / (867 - 0.67 * h) + 0.1 / (929 - 0.85 * h));
    double down = 1.0 / (0.9 / (867 + 0.67 * h) + 0.1 / (929 + 0.85 * h));
    check_rel(m.rho_slope_kg_m3K, (down - up) / (2 * h), 1e-6);
    // additive by its own density, cold
    ep_blend_part hard[] = {{mat("std-wax-paraffin-container"), 0.9},
                            {mat("std-additive-stearin"), 0.1}};
    check_rel(mixed(hard, 2).rho_solid_kg_m3.value, 1.0 / (0.9 / 885 + 0.1 / 941), 1e-12);
}

// M1, M3, M5, M7 by hand for 10 per cent of the mix
static void fragrance_acts(void **state)
{
    (void)state;
    ep_blend_part part[] = {{mat("std-wax-soy"), 0.9}, {mat("std-fragrance-floral"), 0.1}};
    ep_melt m = mixed(part, 2);
    check_rel(m.latent_J_kg.value, 0.9 * 105e3, 1e-12);  // the oil does not freeze
    check_rel(m.lhv_J_kg.value, 0.9 * 37.0e6 + 0.1 * 36e6, 1e-12);
    check_rel(m.mu80_Pas.value, exp(0.9 * log(13e-3) + 0.1 * log(1.5e-3)), 1e-12);
    assert_true(m.mu80_Pas.value < 13e-3);
    check_near(m.solidus_K.value, 273.15 + 33 - 2.5, 1e-9);  // 0.25 K a per cent
    check_near(m.liquidus_K.value, 273.15 + 53 - 2.5, 1e-9);
    check_near(m.liquidus_K.hi, 273.15 + 58, 1e-9);
    check_near(m.liquidus_K.lo, 273.15 + 47 - 5.0, 1e-9);
    check_near(m.fragrance_frac, 0.1, 1e-15);
    check_near(m.p25_Pa, 10, 1e-12);
    check_near(m.p60_Pa, 130, 1e-12);
    // air of the oil by the oxygen rule: 36 / (13.1 * 0.2314) = 11.88
    check_rel(m.air_fuel, 0.9 * 12.64 + 0.1 * 11.876, 1e-4);
    // oil at 80 C: mean of benzyl benzoate, diethyl phthalate, benzyl alcohol, methyl salicylate,
    // p-anisaldehyde and alpha-pinene, a - b t [jasper1972]
    double six_mN_m = (48.07 + 38.47 + 38.25 + 42.15 + 44.69 + 28.35) / 6.0 -
                      80.0 * (0.1065 + 0.0963 + 0.1381 + 0.1174 + 0.1047 + 0.0944) / 6.0;
    check_rel((m.sigma80_N_m - 0.9 * 29e-3) / 0.1, six_mN_m * 1e-3, 0.06);
    // the worst origin of the parts is the mix's: derived heat, heat from memory
    assert_int_equal(m.lhv_J_kg.how, EP_HOW_MEMORY);
    assert_string_equal(m.lhv_J_kg.src, "");
}

// M8: the factor of the row at 10 per cent of the wax, its square root at half of that
static void feed_follows_the_load(void **state)
{
    (void)state;
    double stated = mat("std-fragrance-resin")->prop[EP_FRAGRANCE_FEED].value;
    ep_blend_part full[] = {{mat("std-wax-soy"), 1.0 / 1.1},
                            {mat("std-fragrance-resin"), 0.1 / 1.1}};
    check_rel(mixed(full, 2).feed_factor, stated, 1e-12);
    ep_blend_part half[] = {{mat("std-wax-soy"), 1 / 1.05},
                            {mat("std-fragrance-resin"), 0.05 / 1.05}};
    check_rel(mixed(half, 2).feed_factor, sqrt(stated), 1e-12);

    const ep_prop *dye = mat("std-dye-pigment")->prop;
    double usual = dye[EP_DYE_TYPICAL].value;
    ep_blend_part dyed[] = {{mat("std-wax-soy"), 1 / (1 + usual)},
                            {mat("std-dye-pigment"), usual / (1 + usual)}};
    ep_melt m = mixed(dyed, 2);
    check_rel(m.feed_factor, dye[EP_DYE_FEED].value, 1e-12);
    check_rel(m.absorb_factor.value, dye[EP_DYE_ABSORB].value, 1e-12);
    // past one and a half times the usual share the pool grows no blacker
    ep_blend_part much[] = {{mat("std-wax-soy"), 0.96}, {mat("std-dye-pigment"), 0.04}};
    check_rel(mixed(much, 2).absorb_factor.value, pow(dye[EP_DYE_ABSORB].value, 1.5), 1e-12);
    check_near(mixed(much, 2).feed_factor, 0.05, 1e-12);

    double share = mat("std-additive-stearin")->prop[EP_ADDITIVE_TYPICAL].value;
    ep_blend_part hard[] = {{mat("std-wax-paraffin-container"), 1 / (1 + share)},
                            {mat("std-additive-stearin"), share / (1 + share)}};
    check_rel(mixed(hard, 2).feed_factor, mat("std-additive-stearin")->prop[EP_ADDITIVE_FEED].value,
              1e-12);
}

// M3: unlike waxes melt over a wider range than their weighted mean, like waxes do not
static void unlike_waxes_widen_the_range(void **state)
{
    (void)state;
    const ep_prop *a = mat("std-wax-coconut")->prop;
    const ep_prop *b = mat("std-wax-palm")->prop;
    ep_blend_part part[] = {{mat("std-wax-coconut"), 0.5}, {mat("std-wax-palm"), 0.5}};
    ep_melt m = mixed(part, 2);
    double wa = a[EP_WAX_LATENT].value / (a[EP_WAX_LATENT].value + b[EP_WAX_LATENT].value);
    double mean_solidus = wa * a[EP_WAX_SOLIDUS].value + (1 - wa) * b[EP_WAX_SOLIDUS].value;
    double mean_liquidus = wa * a[EP_WAX_LIQUIDUS].value + (1 - wa) * b[EP_WAX_LIQUIDUS].value;
    double spread = sqrt(wa * (1 - wa));
    check_near(m.solidus_K.value,
               mean_solidus - 0.5 * spread * (b[EP_WAX_SOLIDUS].value - a[EP_WAX_SOLIDUS].value),
               1e-9);
    check_near(m.liquidus_K.value,
               mean_liquidus + 0.5 * spread * (b[EP_WAX_LIQUIDUS].value - a[EP_WAX_LIQUIDUS].value),
               1e-9);
}

// law: warmer melt is thinner, lighter and pulls less; density never jumps
static void laws_over_temperature(void **state)
{
    (void)state;
    for (int i = 0; i < ep_builtin_count(EP_MAT_WAX); i++) {
        ep_blend_part part[] = {{ep_builtin(EP_MAT_WAX, i), 0.92},
                                {mat("std-fragrance-citrus"), 0.08}};
        ep_melt m = mixed(part, 2);
        double rho = ep_melt_density_kg_m3(&m, 273.15);
        double mu = ep_melt_viscosity_Pas(&m, 273.15);
        double sigma = ep_melt_surface_tension_N_m(&m, 273.15);
        for (double T_K = 273.25; T_K < 800.0; T_K += 0.1) {
            double next = ep_melt_density_kg_m3(&m, T_K);
            assert_true(next <= rho);
            assert_true(rho - next < 0.02 * rho * 0.1 / 0.5 + 1e-9);  // no step
            rho = next;
            assert_true(ep_melt_viscosity_Pas(&m, T_K) < mu);
            mu = ep_melt_viscosity_Pas(&m, T_K);
            assert_true(ep_melt_surface_tension_N_m(&m, T_K) <= sigma);
            sigma = ep_melt_surface_tension_N_m(&m, T_K);
            assert_true(sigma >= 5e-3 && rho > 300.0 && mu > 0.0);
        }
    }
}

// of a paraffin's shrinkage 8 to 11 per cent of volume fall on melting itself (from memory)
static void paraffin_shrinks_mostly_by_freezing(void **state)
{
    (void)state;
    ep_blend_part part = {mat("std-wax-paraffin-container"), 1.0};
    ep_melt m = mixed(&part, 1);
    double solid = ep_melt_density_kg_m3(&m, m.solidus_K.value);
    double liquid = ep_melt_density_kg_m3(&m, m.liquidus_K.value);
    double shrink = 1.0 - liquid / solid;
    assert_true(shrink > 0.08 && shrink < 0.11);
}

// triglycerides are 3 to 5 times as thick as paraffin at 70 C and 2 to 3 mPa s at 200 C; paraffin
// 0.5 to 1.2 mPa s (from memory; eicosane has 0.50 at 200 C by [perry2008])
static void viscosity_at_the_wick(void **state)
{
    (void)state;
    ep_blend_part paraffin = {mat("std-wax-paraffin-container"), 1.0};
    ep_blend_part soy = {mat("std-wax-soy"), 1.0};
    ep_melt p = mixed(&paraffin, 1);
    ep_melt s = mixed(&soy, 1);
    double mu_p = ep_melt_viscosity_Pas(&p, 473.15);
    double mu_s = ep_melt_viscosity_Pas(&s, 473.15);
    assert_true(mu_p > 0.5e-3 && mu_p < 1.2e-3);
    assert_true(mu_s > 1.5e-3 && mu_s < 3.0e-3);
    double ratio = ep_melt_viscosity_Pas(&s, 343.15) / ep_melt_viscosity_Pas(&p, 343.15);
    assert_true(ratio > 3.0 && ratio < 5.0);
}

static void refuses(const ep_blend_part *part, int n, const char *field, const char *hint)
{
    ep_melt out = {.flash_K = 999.0};
    ep_err err = {0};
    assert_int_equal(ep_melt_mix(part, n, &out, &err), EP_E_ARG);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, hint);
    assert_true(out.flash_K == 999.0);
}

static void nonsense_is_refused(void **state)
{
    (void)state;
    ep_blend_part scent[] = {{mat("std-fragrance-floral"), 1.0}};
    refuses(scent, 1, "wax", "none");
    ep_blend_part zero[] = {{mat("std-wax-soy"), 0.0}, {mat("std-fragrance-floral"), 1.0}};
    refuses(zero, 2, "wax", "above 0");
    ep_blend_part little[] = {{mat("std-wax-soy"), 0.9}};
    refuses(little, 1, "total", "0.9");
    ep_blend_part much[] = {{mat("std-wax-soy"), 0.9}, {mat("std-wax-palm"), 0.2}};
    refuses(much, 2, "total", "1.1");
    ep_blend_part just[] = {{mat("std-wax-soy"), 1.0 - 2e-6}};
    refuses(just, 1, "total", "0.999998");
    ep_blend_part near[] = {{mat("std-wax-soy"), 1.0 - 5e-7}};
    check_rel(mixed(near, 1).latent_J_kg.value, 105e3, 1e-12);
    ep_blend_part minus[] = {{mat("std-wax-soy"), 1.2}, {mat("std-wax-palm"), -0.2}};
    refuses(minus, 2, "part", "1.2");
    ep_blend_part nan[] = {{mat("std-wax-soy"), (double)NAN}};
    refuses(nan, 1, "part", "nan");
    ep_blend_part glass[] = {{mat("std-wax-soy"), 0.9}, {mat("std-container-soda-lime"), 0.1}};
    refuses(glass, 2, "part", "container");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_pure_wax_is_itself),
        cmocka_unit_test(splitting_changes_nothing),
        cmocka_unit_test(a_blend_lies_between_its_parts),
        cmocka_unit_test(order_does_not_matter),
        cmocka_unit_test(ranges_stay_in_order),
        cmocka_unit_test(volumes_add),
        cmocka_unit_test(fragrance_acts),
        cmocka_unit_test(feed_follows_the_load),
        cmocka_unit_test(unlike_waxes_widen_the_range),
        cmocka_unit_test(laws_over_temperature),
        cmocka_unit_test(paraffin_shrinks_mostly_by_freezing),
        cmocka_unit_test(viscosity_at_the_wick),
        cmocka_unit_test(nonsense_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
