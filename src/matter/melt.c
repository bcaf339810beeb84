// The poured mix as one stuff. Rules M1-M8 in docs/physics/materials.md.
// Dye and additives are too little, or too like the wax, to carry thermal properties of their own:
// they count as wax except for density and feed. Bounds mix by the same rule as values do.
#include "matter/melt.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#define SUM_SLACK        1e-6
#define LOAD_REF         0.10    // load of wax at which a fragrance's feed factor is stated
#define RANGE_WIDENING   0.5     // share of the parts' standard deviation, Eq. M3
#define FEED_FLOOR       0.05    // below this the power law says nothing
#define ABSORB_LIMIT     1.5     // times the usual share of dye: more makes the pool no blacker
#define HEAT_PER_O2_J_KG 13.1e6  // Huggett 1980
#define O2_IN_AIR        0.2314

// what the table of fragrances does not carry: aroma oils as a class, from memory
static const ep_prop oil_cp_J_kgK = {1900.0, 1700.0, 2200.0, EP_HOW_MEMORY, ""};
static const ep_prop oil_k_W_mK = {0.14, 0.12, 0.16, EP_HOW_MEMORY, ""};
// melting range lowered by 0.25 K (0..0.5) per per cent of the mix
static const ep_prop oil_melt_fall_K = {25.0, 0.0, 50.0, EP_HOW_MEMORY, ""};
static const double oil_rho_slope_kg_m3K = 0.85;
static const double oil_heating_K = 60.0;  // from 20 C, where its density is stated, to 80 C
static const double oil_andrade_K = 1600.0;
static const double oil_sigma80_N_m = 0.030;  // Jasper 1972: middle of six aroma materials at 80 C
static const double oil_sigma_slope_N_mK = 1.0e-4;

// sums over the parts, by kind
typedef struct shares {
    double total, wax, fragrance;
    int active;
    const ep_material *only;  // the single active part, while there is one
} shares;

static ep_status add_share(const ep_blend_part *p, shares *s, ep_err *err)
{
    assert(p->material);
    ep_material_kind kind = p->material->kind;
    if (!isfinite(p->frac) || p->frac < 0.0 || p->frac > 1.0) {
        return ep_err_set(err, EP_E_ARG, "part", "part: the share of %s is %g, allowed is 0 to 1",
                          p->material->name, p->frac);
    }
    if (kind == EP_MAT_CONTAINER || kind == EP_MAT_WICK) {
        return ep_err_set(err, EP_E_ARG, "part",
                          "part: %s is a %s; allowed are waxes, fragrances, dyes and additives",
                          p->material->name, ep_material_kind_key(kind));
    }
    s->total += p->frac;
    s->wax += kind == EP_MAT_WAX ? p->frac : 0.0;
    s->fragrance += kind == EP_MAT_FRAGRANCE ? p->frac : 0.0;
    if (p->frac > 0.0) {
        s->only = p->material;
        s->active++;
    }
    return EP_OK;
}

static ep_status sum_shares(const ep_blend_part *part, int n, shares *s, ep_err *err)
{
    for (int i = 0; i < n; i++) {
        ep_status status = add_share(&part[i], s, err);
        if (status != EP_OK) {
            return status;
        }
    }
    if (!(s->wax > 0.0)) {
        return ep_err_set(err, EP_E_ARG, "wax",
                          "wax: the mix holds none, a share above 0 is needed");
    }
    if (fabs(s->total - 1.0) > SUM_SLACK) {
        return ep_err_set(err, EP_E_ARG, "total",
                          "total: the shares add up to %.9g, allowed is 1 within 0.000001",
                          s->total);
    }
    return EP_OK;
}

static void add_prop(ep_prop *sum, double weight, const ep_prop *p)
{
    if (weight <= 0.0) {
        return;
    }
    sum->value += weight * p->value;
    sum->lo += weight * p->lo;
    sum->hi += weight * p->hi;
    sum->how = p->how > sum->how ? p->how : sum->how;
}

// mass-weighted mean of one property over the waxes alone, weights adding up to 1
static ep_prop wax_mean(const ep_blend_part *part, int n, const shares *s, int prop)
{
    ep_prop mean = {0};
    for (int i = 0; i < n; i++) {
        if (part[i].material->kind == EP_MAT_WAX) {
            add_prop(&mean, part[i].frac / s->wax, &part[i].material->prop[prop]);
        }
    }
    return mean;
}

// M1, M4, M7: the waxes' mean stands for all but the fragrance, `oil` for that
static ep_prop with_oil(const ep_prop *wax, const ep_prop *oil, double oil_frac)
{
    ep_prop mix = {0};
    add_prop(&mix, 1.0 - oil_frac, wax);
    add_prop(&mix, oil_frac, oil);
    return mix;
}

// mass-weighted mean of one property over the fragrances; all zero when there is none
static ep_prop oil_mean(const ep_blend_part *part, int n, const shares *s, int prop)
{
    ep_prop mean = {0};
    for (int i = 0; i < n && s->fragrance > 0.0; i++) {
        if (part[i].material->kind == EP_MAT_FRAGRANCE) {
            add_prop(&mean, part[i].frac / s->fragrance, &part[i].material->prop[prop]);
        }
    }
    return mean;
}

// heat taken up by melting serves as the weight of a melting temperature, Eq. M3
static double melt_weight(const ep_blend_part *p)
{
    return p->material->kind == EP_MAT_WAX ? p->frac * p->material->prop[EP_WAX_LATENT].value : 0.0;
}

// M3: one end of the melting range; widened by `side` (-1 solidus, +1 liquidus) times the spread of
// the parts, but never beyond the outermost part
static ep_prop melt_end(const ep_blend_part *part, int n, int prop, double side)
{
    double total = 0.0;
    for (int i = 0; i < n; i++) {
        total += melt_weight(&part[i]);
    }
    ep_prop mean = {0};
    ep_prop edge = {0};
    bool first = true;
    for (int i = 0; i < n; i++) {
        if (melt_weight(&part[i]) <= 0.0) {
            continue;
        }
        const ep_prop *p = &part[i].material->prop[prop];
        add_prop(&mean, melt_weight(&part[i]) / total, p);
        edge.value = first || side * p->value > side * edge.value ? p->value : edge.value;
        edge.lo = first || side * p->lo > side * edge.lo ? p->lo : edge.lo;
        edge.hi = first || side * p->hi > side * edge.hi ? p->hi : edge.hi;
        first = false;
    }
    double variance = 0.0;
    for (int i = 0; i < n; i++) {
        if (melt_weight(&part[i]) > 0.0) {
            double off = part[i].material->prop[prop].value - mean.value;
            variance += melt_weight(&part[i]) / total * off * off;
        }
    }
    double shift = side * RANGE_WIDENING * sqrt(variance);
    mean.value = side * fmin(side * (mean.value + shift), side * edge.value);
    mean.lo = side * fmin(side * (mean.lo + shift), side * edge.lo);
    mean.hi = side * fmin(side * (mean.hi + shift), side * edge.hi);
    return mean;
}

// M3: fragrance lowers both ends
static void lower_melt(ep_prop *end, double oil_frac)
{
    if (oil_frac <= 0.0) {
        return;
    }
    end->value -= oil_melt_fall_K.value * oil_frac;
    end->lo -= oil_melt_fall_K.hi * oil_frac;
    end->hi -= oil_melt_fall_K.lo * oil_frac;
    end->how = oil_melt_fall_K.how > end->how ? oil_melt_fall_K.how : end->how;
}

// specific volume of one part: density given, `fall` of it per K lost over `heating`
static void add_volume(ep_prop *volume, double frac, const ep_prop *rho, double factor, double fall)
{
    if (frac <= 0.0) {
        return;
    }
    volume->value += frac / (rho->value * factor - fall);
    volume->lo += frac / (rho->hi * factor - fall);  // dense is small
    volume->hi += frac / (rho->lo * factor - fall);
    volume->how = rho->how > volume->how ? rho->how : volume->how;
}

// M2: ideal volumes, cold (RHO_SOLID) or at 80 C (RHO_LIQUID); additives keep the wax's own ratio
static ep_prop density(const ep_blend_part *part, int n, const shares *s, int prop)
{
    bool hot = prop == EP_WAX_RHO_LIQUID;
    double ratio = 1.0;
    if (hot) {
        ratio = wax_mean(part, n, s, EP_WAX_RHO_LIQUID).value /
                wax_mean(part, n, s, EP_WAX_RHO_SOLID).value;
    }
    double fall = hot ? oil_rho_slope_kg_m3K * oil_heating_K : 0.0;
    ep_prop volume = {0};
    double dye = 0.0;
    for (int i = 0; i < n; i++) {
        const ep_material *m = part[i].material;
        if (m->kind == EP_MAT_WAX) {
            add_volume(&volume, part[i].frac, &m->prop[prop], 1.0, 0.0);
        } else if (m->kind == EP_MAT_FRAGRANCE) {
            add_volume(&volume, part[i].frac, &m->prop[EP_FRAGRANCE_DENSITY], 1.0, fall);
        } else if (m->kind == EP_MAT_ADDITIVE) {
            add_volume(&volume, part[i].frac, &m->prop[EP_ADDITIVE_DENSITY], ratio, 0.0);
        } else {
            dye += part[i].frac;
        }
    }
    // the dye's mass is spread over the rest: its own density is not in the table
    double mass = s->total - dye;
    return (ep_prop){mass / volume.value, mass / volume.hi, mass / volume.lo, volume.how, ""};
}

// M2: slope of the ideal mix, rho^2 sum(w slope / rho^2)
static double density_slope(const ep_blend_part *part, int n, const shares *s, double rho_kg_m3)
{
    double wax = 0.0;
    double oil = 0.0;
    for (int i = 0; i < n; i++) {
        const ep_prop *p = part[i].material->prop;
        if (part[i].material->kind == EP_MAT_WAX) {
            double rho = p[EP_WAX_RHO_LIQUID].value;
            wax += part[i].frac / s->wax * p[EP_WAX_RHO_SLOPE].value / (rho * rho);
        } else if (part[i].material->kind == EP_MAT_FRAGRANCE) {
            double rho = p[EP_FRAGRANCE_DENSITY].value - oil_rho_slope_kg_m3K * oil_heating_K;
            oil += part[i].frac / s->total * oil_rho_slope_kg_m3K / (rho * rho);
        }
    }
    return rho_kg_m3 * rho_kg_m3 * (wax * (1.0 - s->fragrance / s->total) + oil);
}

// M5: viscosity mixes in its logarithm
static ep_prop viscosity(const ep_blend_part *part, int n, const shares *s)
{
    ep_prop sum = {0};
    double oil_frac = s->fragrance / s->total;
    for (int i = 0; i < n; i++) {
        const ep_material *m = part[i].material;
        double weight = 0.0;
        const ep_prop *mu = NULL;
        if (m->kind == EP_MAT_WAX) {
            weight = part[i].frac / s->wax * (1.0 - oil_frac);
            mu = &m->prop[EP_WAX_MU];
        } else if (m->kind == EP_MAT_FRAGRANCE) {
            weight = part[i].frac / s->total;
            mu = &m->prop[EP_FRAGRANCE_MU];
        }
        if (weight > 0.0) {
            ep_prop log_mu = {log(mu->value), log(mu->lo), log(mu->hi), mu->how, ""};
            add_prop(&sum, weight, &log_mu);
        }
    }
    return (ep_prop){exp(sum.value), exp(sum.lo), exp(sum.hi), sum.how, ""};
}

// how much of its usual share is there; a material that states none counts whole
static double dose(double of_wax, double usual)
{
    return usual > 0.0 ? of_wax / usual : 1.0;
}

// M8: every stuff beside the wax multiplies the feed by its factor to the power of its dose
static double feed_factor(const ep_blend_part *part, int n, const shares *s)
{
    double log_feed = 0.0;
    for (int i = 0; i < n; i++) {
        const ep_prop *p = part[i].material->prop;
        double of_wax = part[i].frac / s->wax;
        ep_material_kind kind = part[i].material->kind;
        if (part[i].frac <= 0.0) {
            continue;
        }
        if (kind == EP_MAT_FRAGRANCE) {
            log_feed += dose(of_wax, LOAD_REF) * log(p[EP_FRAGRANCE_FEED].value);
        } else if (kind == EP_MAT_DYE) {
            log_feed += dose(of_wax, p[EP_DYE_TYPICAL].value) * log(p[EP_DYE_FEED].value);
        } else if (kind == EP_MAT_ADDITIVE) {
            log_feed += dose(of_wax, p[EP_ADDITIVE_TYPICAL].value) * log(p[EP_ADDITIVE_FEED].value);
        }
    }
    return fmax(exp(log_feed), FEED_FLOOR);
}

// M8: the same for the radiation that dyes take up, with an end to it
static ep_prop absorb_factor(const ep_blend_part *part, int n, const shares *s)
{
    ep_prop absorb = {1.0, 1.0, 1.0, EP_HOW_DERIVED, ""};
    for (int i = 0; i < n; i++) {
        if (part[i].material->kind != EP_MAT_DYE || part[i].frac <= 0.0) {
            continue;
        }
        const ep_prop *p = part[i].material->prop;
        const ep_prop *a = &p[EP_DYE_ABSORB];
        double power = fmin(dose(part[i].frac / s->wax, p[EP_DYE_TYPICAL].value), ABSORB_LIMIT);
        absorb.value *= pow(a->value, power);
        absorb.lo *= pow(a->lo, power);
        absorb.hi *= pow(a->hi, power);
        absorb.how = a->how > absorb.how ? a->how : absorb.how;
    }
    return absorb;
}

// what is not averaged: lowest flash point, longest cure, the largest wax's working temperatures
static void take_extremes(const ep_blend_part *part, int n, ep_melt *m)
{
    double largest = 0.0;
    m->flash_K = HUGE_VAL;
    for (int i = 0; i < n; i++) {
        if (part[i].material->kind != EP_MAT_WAX || part[i].frac <= 0.0) {
            continue;
        }
        const ep_prop *p = part[i].material->prop;
        m->flash_K = fmin(m->flash_K, p[EP_WAX_FLASH].value);
        m->cure_burn_s = fmax(m->cure_burn_s, p[EP_WAX_CURE_BURN].value);
        m->cure_scent_s = fmax(m->cure_scent_s, p[EP_WAX_CURE_SCENT].value);
        bool tie = part[i].frac == largest;
        if (part[i].frac > largest) {
            largest = part[i].frac;
            m->pour_K = p[EP_WAX_POUR].value;
            m->add_K = p[EP_WAX_ADD].value;
        } else if (tie) {  // the hotter of two equals, so that their order does not matter
            m->pour_K = fmax(m->pour_K, p[EP_WAX_POUR].value);
            m->add_K = fmax(m->add_K, p[EP_WAX_ADD].value);
        }
    }
}

static void mix_heat(const ep_blend_part *part, int n, const shares *s, ep_melt *m)
{
    static const ep_prop nothing = {0.0, 0.0, 0.0, EP_HOW_MEASURED, ""};
    double oil_frac = s->fragrance / s->total;
    ep_prop latent = wax_mean(part, n, s, EP_WAX_LATENT);
    ep_prop cp_solid = wax_mean(part, n, s, EP_WAX_CP_SOLID);
    ep_prop cp_liquid = wax_mean(part, n, s, EP_WAX_CP_LIQUID);
    ep_prop k_solid = wax_mean(part, n, s, EP_WAX_K_SOLID);
    ep_prop k_liquid = wax_mean(part, n, s, EP_WAX_K_LIQUID);
    m->latent_J_kg = with_oil(&latent, &nothing, oil_frac);  // the oil does not freeze
    m->cp_solid_J_kgK = with_oil(&cp_solid, &oil_cp_J_kgK, oil_frac);
    m->cp_liquid_J_kgK = with_oil(&cp_liquid, &oil_cp_J_kgK, oil_frac);
    m->k_solid_W_mK = with_oil(&k_solid, &oil_k_W_mK, oil_frac);
    m->k_liquid_W_mK = with_oil(&k_liquid, &oil_k_W_mK, oil_frac);
    m->solidus_K = melt_end(part, n, EP_WAX_SOLIDUS, -1.0);
    m->liquidus_K = melt_end(part, n, EP_WAX_LIQUIDUS, 1.0);
    lower_melt(&m->solidus_K, oil_frac);
    lower_melt(&m->liquidus_K, oil_frac);
}

static void mix_flow(const ep_blend_part *part, int n, const shares *s, ep_melt *m)
{
    double oil_frac = s->fragrance / s->total;
    m->rho_solid_kg_m3 = density(part, n, s, EP_WAX_RHO_SOLID);
    m->rho_liquid_kg_m3 = density(part, n, s, EP_WAX_RHO_LIQUID);
    m->rho_slope_kg_m3K = density_slope(part, n, s, m->rho_liquid_kg_m3.value);
    m->mu80_Pas = viscosity(part, n, s);
    m->andrade_K =
        (1.0 - oil_frac) * wax_mean(part, n, s, EP_WAX_ANDRADE).value + oil_frac * oil_andrade_K;
    m->sigma80_N_m =
        (1.0 - oil_frac) * wax_mean(part, n, s, EP_WAX_SIGMA).value + oil_frac * oil_sigma80_N_m;
    // the table holds mN/m per K
    m->sigma_slope_N_mK = (1.0 - oil_frac) * 1e-3 * wax_mean(part, n, s, EP_WAX_SIGMA_SLOPE).value +
                          oil_frac * oil_sigma_slope_N_mK;
}

static void mix_burning(const ep_blend_part *part, int n, const shares *s, ep_melt *m)
{
    double oil_frac = s->fragrance / s->total;
    ep_prop wax_lhv = wax_mean(part, n, s, EP_WAX_LHV);
    ep_prop oil_lhv = oil_mean(part, n, s, EP_FRAGRANCE_LHV);
    m->lhv_J_kg = with_oil(&wax_lhv, &oil_lhv, oil_frac);
    // M7: the oil's air from its heat by the oxygen rule
    m->air_fuel = (1.0 - oil_frac) * wax_mean(part, n, s, EP_WAX_AIR).value +
                  oil_frac * oil_lhv.value / (HEAT_PER_O2_J_KG * O2_IN_AIR);
    m->smoke_factor = wax_mean(part, n, s, EP_WAX_SMOKE).value;
    m->feed_factor = feed_factor(part, n, s);
    m->absorb_factor = absorb_factor(part, n, s);
    m->fragrance_frac = oil_frac;
    m->p25_Pa = oil_mean(part, n, s, EP_FRAGRANCE_P25).value;
    m->p60_Pa = oil_mean(part, n, s, EP_FRAGRANCE_P60).value;
    m->max_load_of_wax = wax_mean(part, n, s, EP_WAX_MAX_LOAD).value;
}

// a pure wax keeps the sources of its own row
static void keep_sources(const ep_material *wax, ep_melt *m)
{
    const struct {
        ep_prop *to;
        int from;
    } pair[] = {
        {&m->solidus_K, EP_WAX_SOLIDUS},
        {&m->liquidus_K, EP_WAX_LIQUIDUS},
        {&m->latent_J_kg, EP_WAX_LATENT},
        {&m->cp_solid_J_kgK, EP_WAX_CP_SOLID},
        {&m->cp_liquid_J_kgK, EP_WAX_CP_LIQUID},
        {&m->k_solid_W_mK, EP_WAX_K_SOLID},
        {&m->k_liquid_W_mK, EP_WAX_K_LIQUID},
        {&m->rho_solid_kg_m3, EP_WAX_RHO_SOLID},
        {&m->rho_liquid_kg_m3, EP_WAX_RHO_LIQUID},
        {&m->mu80_Pas, EP_WAX_MU},
        {&m->lhv_J_kg, EP_WAX_LHV},
    };
    for (size_t i = 0; i < sizeof pair / sizeof pair[0]; i++) {
        memcpy(pair[i].to->src, wax->prop[pair[i].from].src, sizeof pair[i].to->src);
    }
}

ep_status ep_melt_mix(const ep_blend_part *part, int n, ep_melt *out, ep_err *err)
{
    assert(part && n > 0 && out);
    shares s = {0};
    ep_status status = sum_shares(part, n, &s, err);
    if (status != EP_OK) {
        return status;
    }
    ep_melt m = {0};
    mix_heat(part, n, &s, &m);
    mix_flow(part, n, &s, &m);
    mix_burning(part, n, &s, &m);
    take_extremes(part, n, &m);
    if (s.active == 1) {
        keep_sources(s.only, &m);
    }
    *out = m;
    return EP_OK;
}
