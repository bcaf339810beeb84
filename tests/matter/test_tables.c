// Walks every row of every table in data/: numbers in order, origins honest, sources real.
#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

#include "matter/material.h"

#include "../base/check.h"

// one row and one property at a time
typedef void (*row_check)(const ep_material *m);
typedef void (*prop_check)(const ep_material *m, const ep_prop_def *def, const ep_prop *p);

static void each_row(row_check check)
{
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        int n = ep_builtin_count((ep_material_kind)kind);
        assert_true(n > 0);
        for (int i = 0; i < n; i++) {
            check(ep_builtin((ep_material_kind)kind, i));
        }
    }
}

static void each_prop(prop_check check)
{
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        int n_props;
        const ep_prop_def *def = ep_prop_defs((ep_material_kind)kind, &n_props);
        for (int i = 0; i < ep_builtin_count((ep_material_kind)kind); i++) {
            const ep_material *m = ep_builtin((ep_material_kind)kind, i);
            assert_int_equal(m->n_props, n_props);
            for (int j = 0; j < n_props; j++) {
                check(m, &def[j], &m->prop[j]);
            }
        }
    }
}

static void row_passes_its_own_check(const ep_material *m)
{
    ep_err err = {0};
    if (ep_material_check(m, &err) != EP_OK) {
        fail_msg("%s: %s", m->id, err.text);
    }
}

static void every_row_is_sound(void **state)
{
    (void)state;
    each_row(row_passes_its_own_check);
}

static void number_is_in_order(const ep_material *m, const ep_prop_def *def, const ep_prop *p)
{
    double min = ep_unit_to_si(def->unit, def->min);
    double max = ep_unit_to_si(def->unit, def->max);
    if (!isfinite(p->value) || !isfinite(p->lo) || !isfinite(p->hi) || p->lo > p->value ||
        p->value > p->hi || p->lo < min || p->hi > max) {
        fail_msg("%s %s: %g not within %g..%g within %g..%g", m->id, def->key, p->value, p->lo,
                 p->hi, min, max);
    }
}

static void every_number_is_in_order(void **state)
{
    (void)state;
    each_prop(number_is_in_order);
}

// a property left out of a row is all zero, and so would claim to be measured
static void number_has_an_origin(const ep_material *m, const ep_prop_def *def, const ep_prop *p)
{
    bool sourced = p->how == EP_HOW_READ || p->how == EP_HOW_DERIVED;
    bool unsourced = p->how == EP_HOW_MEMORY || p->how == EP_HOW_PRACTICE;
    if (!sourced && !unsourced) {
        fail_msg("%s %s: a builtin row cannot be \"%s\"", m->id, def->key, ep_how_key(p->how));
    }
    if (sourced && p->src[0] == '\0') {
        fail_msg("%s %s: %s, but no source is named", m->id, def->key, ep_how_key(p->how));
    }
    if (unsourced && p->src[0] != '\0') {
        fail_msg("%s %s: says it has no source and names %s", m->id, def->key, p->src);
    }
}

static void every_number_has_an_origin(void **state)
{
    (void)state;
    each_prop(number_has_an_origin);
}

// the whole of references.bib; caller frees
static char *read_bib(void)
{
    FILE *file = fopen(EP_DATA_DIR "/references.bib", "rb");
    assert_non_null(file);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    size_t n = fread(text, 1, (1 << 20) - 1, file);
    assert_true(n > 1000 && n < (1 << 20) - 1);
    fclose(file);
    return text;
}

static char *bib;  // set up once for the walk below

// the start of the entry "@type{key," or NULL; an entry starts a line
static const char *find_entry(const char *key)
{
    size_t len = strlen(key);
    for (const char *at = bib; (at = strchr(at, '@')) != NULL; at++) {
        const char *open = strchr(at, '{');
        bool line_start = at == bib || at[-1] == '\n';
        if (line_start && open && strncmp(open + 1, key, len) == 0 && open[1 + len] == ',') {
            return at;
        }
    }
    return NULL;
}

static void source_exists(const ep_material *m, const ep_prop_def *def, const ep_prop *p)
{
    if (p->src[0] != '\0' && !find_entry(p->src)) {
        fail_msg("%s %s: no entry \"%s\" in references.bib", m->id, def->key, p->src);
    }
}

static void every_source_exists(void **state)
{
    (void)state;
    bib = read_bib();
    assert_null(find_entry("no-such-key"));
    each_prop(source_exists);
    free(bib);
    bib = NULL;
}

// every entry has a key of its own, a title, and braces that close
static void bibliography_is_well_formed(void **state)
{
    (void)state;
    bib = read_bib();
    int depth = 0;
    int entries = 0;
    for (const char *c = bib; *c; c++) {
        if (*c == '%' && (c == bib || c[-1] == '\n')) {
            c = strchr(c, '\n');
            continue;
        }
        depth += *c == '{' ? 1 : *c == '}' ? -1 : 0;
        assert_true(depth >= 0);
        if (*c != '@' || depth != 0) {
            continue;
        }
        entries++;
        char key[64] = "";
        assert_int_equal(sscanf(c, "@%*[a-z]{%63[^,],", key), 1);
        if (find_entry(key) != c) {
            fail_msg("key \"%s\" stands twice in references.bib", key);
        }
        const char *title = strstr(c, "title = {");
        const char *next = strchr(c + 1, '@');
        if (!title || (next && title > next)) {
            fail_msg("entry \"%s\" has no title", key);
        }
    }
    assert_int_equal(depth, 0);
    assert_true(entries > 40);
    free(bib);
    bib = NULL;
}

// names are the trade's words: a capital after the first letter, a sign or a promise gives away
// something that is sold under a name or praised by it
static void name_is_plain(const ep_material *m)
{
    static const char *const praise[] = {"safe",   "toxic",   "natural", "premium",
                                         "luxury", "organic", "clean",   "best"};
    static const char *const allowed[] = {"UV absorber", "alpha-Pinene", "d-Limonene"};
    for (size_t i = 0; i < sizeof allowed / sizeof allowed[0]; i++) {
        if (strcmp(m->name, allowed[i]) == 0) {
            return;
        }
    }
    char lower[sizeof m->name] = "";
    for (size_t i = 0; m->name[i]; i++) {
        char c = m->name[i];
        bool plain = isalnum((unsigned char)c) || strchr(" ,.()-:", c) != NULL;
        if (!plain || (i > 0 && isupper((unsigned char)c))) {
            fail_msg("%s: \"%s\" is not a plain word of the trade", m->id, m->name);
        }
        lower[i] = (char)tolower((unsigned char)c);
    }
    for (size_t i = 0; i < sizeof praise / sizeof praise[0]; i++) {
        if (strstr(lower, praise[i])) {
            fail_msg("%s: \"%s\" praises what it names", m->id, m->name);
        }
    }
}

static void names_are_plain(void **state)
{
    (void)state;
    each_row(name_is_plain);
}

static void id_is_stable(const ep_material *m)
{
    char prefix[48];
    snprintf(prefix, sizeof prefix, "std-%s-", ep_material_kind_key(m->kind));
    if (strncmp(m->id, prefix, strlen(prefix)) != 0 || strlen(m->id) == strlen(prefix)) {
        fail_msg("id \"%s\" does not start with %s", m->id, prefix);
    }
    for (const char *c = m->id; *c; c++) {
        assert_true(islower((unsigned char)*c) || isdigit((unsigned char)*c) || *c == '-');
    }
    assert_ptr_equal(ep_builtin_find(m->id), m);  // the first of that id, so there is one only
    assert_true(m->klass[0] != '\0');
}

static void ids_are_unique(void **state)
{
    (void)state;
    each_row(id_is_stable);
    assert_null(ep_builtin_find("std-wax-none"));
    assert_null(ep_builtin_find(""));
}

// recipes on disk refer to these: they may gain company, never vanish
static void promised_rows_are_there(void **state)
{
    (void)state;
    static const char *const id[] = {
        "std-wax-paraffin-container",
        "std-wax-paraffin-pillar",
        "std-wax-microcrystalline",
        "std-wax-soy",
        "std-wax-beeswax",
        "std-wax-coconut",
        "std-wax-palm",
        "std-wax-palm-stearin",
        "std-wax-stearic",
        "std-wax-rapeseed",
        "std-fragrance-citrus",
        "std-fragrance-floral",
        "std-fragrance-resin",
        "std-fragrance-d-limonene",
        "std-fragrance-vanillin",
        "std-dye-solvent-pale",
        "std-dye-pigment",
        "std-additive-stearin",
        "std-additive-uv-absorber",
        "std-container-soda-lime",
        "std-container-borosilicate",
        "std-container-porcelain",
        "std-container-stoneware",
        "std-container-earthenware",
        "std-container-concrete",
        "std-container-tinplate",
        "std-container-aluminium",
        "std-wick-flat-braid",
        "std-wick-square-braid",
        "std-wick-cotton-core",
        "std-wick-paper-core",
        "std-wick-zinc-core",
        "std-wick-coreless-paper",
        "std-wick-wooden",
        "std-wick-wooden-booster",
    };
    for (size_t i = 0; i < sizeof id / sizeof id[0]; i++) {
        if (!ep_builtin_find(id[i])) {
            fail_msg("%s is gone", id[i]);
        }
    }
    assert_int_equal(ep_builtin_count(EP_MAT_WAX), 10);
}

// an ensemble draws each property within its range: no draw may melt below its own solidus, or
// shrink by melting
static void ranges_do_not_cross(void **state)
{
    (void)state;
    for (int i = 0; i < ep_builtin_count(EP_MAT_WAX); i++) {
        const ep_material *m = ep_builtin(EP_MAT_WAX, i);
        if (m->prop[EP_WAX_SOLIDUS].hi >= m->prop[EP_WAX_LIQUIDUS].lo) {
            fail_msg("%s: a solidus within its range can pass the liquidus", m->id);
        }
        if (m->prop[EP_WAX_RHO_LIQUID].hi >= m->prop[EP_WAX_RHO_SOLID].lo) {
            fail_msg("%s: a liquid within its range can be denser than the solid", m->id);
        }
    }
}

// widths of docs/physics/materials.md 4.3: paraffin 6..15 K, part-hydrogenated fats 15..25 K
// (from memory)
static void melting_ranges_have_their_width(void **state)
{
    (void)state;
    const struct {
        const char *id;
        double min_K, max_K;
    } row[] = {
        {"std-wax-paraffin-container", 6, 15},
        {"std-wax-paraffin-pillar", 6, 15},
        {"std-wax-soy", 15, 25},
        {"std-wax-coconut", 15, 25},
        {"std-wax-rapeseed", 15, 25},
        {"std-wax-palm-stearin", 15, 25},
        {"std-wax-palm", 10, 20},
        {"std-wax-stearic", 3, 8},
        {"std-wax-beeswax", 8, 27},
        {"std-wax-microcrystalline", 20, 60},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        const ep_prop *p = ep_builtin_find(row[i].id)->prop;
        double width_K = p[EP_WAX_LIQUIDUS].value - p[EP_WAX_SOLIDUS].value;
        if (width_K < row[i].min_K - 1e-9 || width_K > row[i].max_K + 1e-9) {
            fail_msg("%s melts over %.2f K, not %g..%g", row[i].id, width_K, row[i].min_K,
                     row[i].max_K);
        }
    }
}

static uint64_t hash_text(uint64_t hash, const char *text)
{
    for (; *text; text++) {
        hash = (hash ^ (unsigned char)*text) * 0x100000001b3u;  // FNV-1a
    }
    return hash;
}

static uint64_t fingerprint = 0xcbf29ce484222325u;

static void take_print(const ep_material *m, const ep_prop_def *def, const ep_prop *p)
{
    char line[200];
    snprintf(line, sizeof line, "%s %s %.12g %.12g %.12g;", m->id, def->key, p->value, p->lo,
             p->hi);
    fingerprint = hash_text(fingerprint, line);
}

// Stored forecasts name the version of the tables. When this fails a number has moved: raise
// `version` in src/matter/builtin.c and write both here.
static void version_follows_the_numbers(void **state)
{
    (void)state;
    each_prop(take_print);
    char seen[80];
    snprintf(seen, sizeof seen, "%s %016llx", ep_tables_version(), (unsigned long long)fingerprint);
    assert_string_equal(seen, "tables-2 8323628657d5df44");
}

// the tables show the numbers as the bench writes them: 52 C, 165 kJ/kg, 14 days
static void numbers_are_stored_in_si(void **state)
{
    (void)state;
    const ep_prop *wax = ep_builtin_find("std-wax-paraffin-container")->prop;
    check_near(wax[EP_WAX_LIQUIDUS].value, 325.15, 1e-9);
    check_near(wax[EP_WAX_LATENT].value, 165e3, 1e-9);
    check_near(wax[EP_WAX_MU].value, 3.3e-3, 1e-15);
    check_near(wax[EP_WAX_SIGMA].value, 24.5e-3, 1e-15);
    check_near(wax[EP_WAX_LHV].value, 43.7e6, 1e-6);
    check_near(wax[EP_WAX_MAX_LOAD].value, 0.10, 1e-15);
    check_near(wax[EP_WAX_RHO_SLOPE].value, 0.645, 1e-15);
    const ep_prop *soy = ep_builtin_find("std-wax-soy")->prop;
    check_near(soy[EP_WAX_CURE_BURN].value, 14 * 86400.0, 1e-6);
    const ep_prop *glass = ep_builtin_find("std-container-soda-lime")->prop;
    check_near(glass[EP_CONTAINER_YOUNG].value, 72e9, 1e-3);
    check_near(glass[EP_CONTAINER_EXPANSION].value, 9e-6, 1e-18);
    check_near(glass[EP_CONTAINER_STRENGTH].value, 20e6, 1e-6);
    const ep_prop *wick = ep_builtin_find("std-wick-flat-braid")->prop;
    check_near(wick[EP_WICK_FIBRE].value, 15e-6, 1e-18);
    check_near(wick[EP_WICK_CURL].value, 10e-3, 1e-15);
    check_near(wick[EP_WICK_TRIM_TIME].value, 600.0, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_sound),
        cmocka_unit_test(every_number_is_in_order),
        cmocka_unit_test(every_number_has_an_origin),
        cmocka_unit_test(every_source_exists),
        cmocka_unit_test(bibliography_is_well_formed),
        cmocka_unit_test(names_are_plain),
        cmocka_unit_test(ids_are_unique),
        cmocka_unit_test(promised_rows_are_there),
        cmocka_unit_test(ranges_do_not_cross),
        cmocka_unit_test(melting_ranges_have_their_width),
        cmocka_unit_test(version_follows_the_numbers),
        cmocka_unit_test(numbers_are_stored_in_si),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
