// Kinds, property definitions and the refusals of ep_material_check.
#include <stdio.h>

#include "matter/material.h"

#include "../base/check.h"

static ep_material copy_of(const char *id)
{
    const ep_material *m = ep_builtin_find(id);
    assert_non_null(m);
    return *m;
}

// the check must fail, name the field, and say what it saw and what is allowed
static void refuses(const ep_material *m, const char *field, const char *part)
{
    ep_err err = {0};
    assert_int_equal(ep_material_check(m, &err), EP_E_ARG);
    assert_string_equal(err.field, field);
    check_has(err.text, field);
    check_has(err.text, part);
}

static void keys_go_both_ways(void **state)
{
    (void)state;
    for (int i = 0; i < (int)EP_HOW_COUNT_; i++) {
        ep_how how = EP_HOW_COUNT_;
        assert_true(ep_how_find(ep_how_key((ep_how)i), &how));
        assert_int_equal(how, i);
        assert_true(strlen(ep_how_text((ep_how)i)) > 0);
    }
    for (int i = 0; i < (int)EP_MAT_KIND_COUNT_; i++) {
        ep_material_kind kind = EP_MAT_KIND_COUNT_;
        assert_true(ep_material_kind_find(ep_material_kind_key((ep_material_kind)i), &kind));
        assert_int_equal(kind, i);
    }
    ep_how how = EP_HOW_COUNT_;
    assert_false(ep_how_find("guessed", &how));
    assert_int_equal(how, EP_HOW_COUNT_);
    ep_material_kind kind = EP_MAT_KIND_COUNT_;
    assert_false(ep_material_kind_find("", &kind));
    assert_int_equal(kind, EP_MAT_KIND_COUNT_);
    assert_string_equal(ep_material_kind_key(EP_MAT_WAX), "wax");
    assert_string_equal(ep_material_kind_key(EP_MAT_CONTAINER), "container");
    assert_string_equal(ep_material_kind_key(EP_MAT_KIND_COUNT_), "unknown");
}

static void properties_are_found_by_key(void **state)
{
    (void)state;
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        int n;
        const ep_prop_def *def = ep_prop_defs((ep_material_kind)kind, &n);
        assert_true(n > 0 && n <= EP_MAX_PROPS);
        for (int i = 0; i < n; i++) {
            int found = -1;
            assert_true(ep_prop_find((ep_material_kind)kind, def[i].key, &found));
            assert_int_equal(found, i);  // keys are unique within a kind
            assert_true(def[i].min < def[i].max);
            assert_true(def[i].label[0] != '\0');
        }
    }
    int index = 99;
    assert_false(ep_prop_find(EP_MAT_WAX, "young", &index));
    assert_int_equal(index, 99);
    assert_true(ep_prop_find(EP_MAT_CONTAINER, "young", &index));
    assert_int_equal(index, EP_CONTAINER_YOUNG);
}

// law: whichever property is spoiled, the error names that one
static void every_property_is_guarded(void **state)
{
    (void)state;
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        int n;
        const ep_prop_def *def = ep_prop_defs((ep_material_kind)kind, &n);
        for (int i = 0; i < n; i++) {
            const double bad[] = {ep_unit_to_si(def[i].unit, def[i].max) * 1.01 + 1e-3, (double)NAN,
                                  HUGE_VAL, -HUGE_VAL, -1e9};
            for (size_t j = 0; j < sizeof bad / sizeof bad[0]; j++) {
                ep_material m = *ep_builtin((ep_material_kind)kind, 0);
                m.prop[i].value = bad[j];
                refuses(&m, def[i].key, "");
                m = *ep_builtin((ep_material_kind)kind, 0);
                m.prop[i].lo = bad[j];
                refuses(&m, def[i].key, "");
                m = *ep_builtin((ep_material_kind)kind, 0);
                m.prop[i].hi = bad[j];
                refuses(&m, def[i].key, "");
            }
        }
    }
}

static void a_value_outside_says_so_in_bench_units(void **state)
{
    (void)state;
    ep_material m = copy_of("std-wax-soy");
    m.prop[EP_WAX_LATENT].value = 400e3;
    refuses(&m, "latent", "400 kJ/kg");
    refuses(&m, "latent", "20 kJ/kg");
    refuses(&m, "latent", "300 kJ/kg");
    m = copy_of("std-wax-soy");
    m.prop[EP_WAX_FLASH].value = 273.15 + 50.0;
    refuses(&m, "flash", "50 C");
    refuses(&m, "flash", "100 C");
}

static void low_and_high_must_hold_the_value(void **state)
{
    (void)state;
    ep_material m = copy_of("std-wax-soy");
    m.prop[EP_WAX_LATENT].value = 150e3;
    refuses(&m, "latent", "150 kJ/kg is not between its own low 80 kJ/kg and high 140 kJ/kg");
    m = copy_of("std-wick-wooden");
    m.prop[EP_WICK_POROSITY].lo = 0.65;
    refuses(&m, "porosity", "0.65");
}

static void pairs_must_be_in_order(void **state)
{
    (void)state;
    ep_material m = copy_of("std-wax-beeswax");
    m.prop[EP_WAX_LIQUIDUS] = m.prop[EP_WAX_SOLIDUS];
    refuses(&m, "liquidus", "liquidus: 54 C must be above solidus, which is 54 C");

    m = copy_of("std-wax-beeswax");
    m.prop[EP_WAX_RHO_SOLID] = m.prop[EP_WAX_RHO_LIQUID];
    refuses(&m, "rho_solid", "rho_liquid");

    m = copy_of("std-fragrance-floral");
    m.prop[EP_FRAGRANCE_P60] = (ep_prop){5, 5, 5, EP_HOW_SHEET, ""};
    refuses(&m, "vapour_pressure_60", "vapour_pressure_25");
    m.prop[EP_FRAGRANCE_P60] = m.prop[EP_FRAGRANCE_P25];
    assert_int_equal(ep_material_check(&m, NULL), EP_OK);

    m = copy_of("std-dye-pigment");
    m.prop[EP_DYE_MAX] = (ep_prop){0.001, 0.001, 0.001, EP_HOW_SHEET, ""};
    refuses(&m, "max_share", "typical_share");
}

static void the_record_itself_is_checked(void **state)
{
    (void)state;
    ep_material m = copy_of("std-wax-soy");
    m.name[0] = '\0';
    refuses(&m, "name", "empty");
    m = copy_of("std-wax-soy");
    m.id[0] = '\0';
    refuses(&m, "id", "empty");
    m = copy_of("std-wax-soy");
    memset(m.name, 'x', sizeof m.name);
    refuses(&m, "name", "79");
    m = copy_of("std-wax-soy");
    memset(m.klass, 'x', sizeof m.klass);
    refuses(&m, "class", "39");
    m = copy_of("std-wax-soy");
    m.n_props = 3;
    refuses(&m, "properties", "exactly 23");
    m = copy_of("std-wax-soy");
    m.kind = (ep_material_kind)17;
    refuses(&m, "kind", "17");
    m = copy_of("std-wax-soy");
    m.prop[EP_WAX_MU].how = (ep_how)9;
    refuses(&m, "viscosity", "9");
    m = copy_of("std-wax-soy");
    memset(m.prop[EP_WAX_MU].src, 'x', sizeof m.prop[EP_WAX_MU].src);
    refuses(&m, "viscosity", "47");
}

// a maker's own row: data-sheet values, no class, a note for a source
static void a_makers_own_row_passes(void **state)
{
    (void)state;
    ep_material m = copy_of("std-wax-soy");
    snprintf(m.id, sizeof m.id, "%s", "0190b6a2-0000-7000-8000-000000000001");
    snprintf(m.name, sizeof m.name, "%s", "Soja wax, bag of spring \xc3\xa9t\xc3\xa9");
    m.klass[0] = '\0';
    m.prop[EP_WAX_FLASH] = (ep_prop){563.15, 563.15, 563.15, EP_HOW_SHEET, "sheet of March"};
    ep_err err = {0};
    assert_int_equal(ep_material_check(&m, &err), EP_OK);
    assert_int_equal(err.status, EP_OK);
    // the ends of the definition belong to it
    m.prop[EP_WAX_MAX_LOAD] = (ep_prop){0.30, 0.0, 0.30, EP_HOW_SHEET, ""};
    assert_int_equal(ep_material_check(&m, &err), EP_OK);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_go_both_ways),
        cmocka_unit_test(properties_are_found_by_key),
        cmocka_unit_test(every_property_is_guarded),
        cmocka_unit_test(a_value_outside_says_so_in_bench_units),
        cmocka_unit_test(low_and_high_must_hold_the_value),
        cmocka_unit_test(pairs_must_be_in_order),
        cmocka_unit_test(the_record_itself_is_checked),
        cmocka_unit_test(a_makers_own_row_passes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
