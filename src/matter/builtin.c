// The materials that come with the program: data/*.def turned into constant rows in SI.
// Conversion happens in the compiler, from the same unit list the bench uses, so that the rows are
// constants, need no start-up and can be read from any thread.
#include <assert.h>
#include <stddef.h>
#include <string.h>

#include "matter/material.h"

// raise it whenever a number in data/*.def moves; tests/matter/test_tables.c holds the fingerprint
static const char version[] = "tables-2";

// a unit as constant expressions: its list unrolls to u == A ? a : u == B ? b : ... : 0
#define SCALE_CASE(id, dim, symbol, aliases, scale, offset)  (int)EP_U_##id ? (scale):
#define OFFSET_CASE(id, dim, symbol, aliases, scale, offset) (int)EP_U_##id ? (offset):
#define SCALE_OF(u)                                          (EP_UNIT_LIST((u) == SCALE_CASE) 0.0)
#define OFFSET_OF(u)                                         (EP_UNIT_LIST((u) == OFFSET_CASE) 0.0)
#define SI(u, value)                                         ((value)*SCALE_OF(u) + OFFSET_OF(u))

// the bench unit of every property, as a constant
#define X(id, key, unit, min, max, label, help) WAX_UNIT_##id = EP_U_##unit,
enum { EP_WAX_PROPS(X) };
#undef X
#define X(id, key, unit, min, max, label, help) FRAGRANCE_UNIT_##id = EP_U_##unit,
enum { EP_FRAGRANCE_PROPS(X) };
#undef X
#define X(id, key, unit, min, max, label, help) DYE_UNIT_##id = EP_U_##unit,
enum { EP_DYE_PROPS(X) };
#undef X
#define X(id, key, unit, min, max, label, help) ADDITIVE_UNIT_##id = EP_U_##unit,
enum { EP_ADDITIVE_PROPS(X) };
#undef X
#define X(id, key, unit, min, max, label, help) CONTAINER_UNIT_##id = EP_U_##unit,
enum { EP_CONTAINER_PROPS(X) };
#undef X
#define X(id, key, unit, min, max, label, help) WICK_UNIT_##id = EP_U_##unit,
enum { EP_WICK_PROPS(X) };
#undef X

#define PROP_SI(index, u, value, lo, hi, how, src)                                                 \
    [index] = {SI(u, value), SI(u, lo), SI(u, hi), EP_HOW_##how, src}
#define ROW(kind, count, id, name, klass, ...) {kind, id, name, klass, count, {__VA_ARGS__}},

#define EP_ROW(...) ROW(EP_MAT_WAX, EP_WAX_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_WAX_##id, WAX_UNIT_##id, value, lo, hi, how, src)
static const ep_material waxes[] = {
#include "waxes.def"
};
#undef EP_ROW
#undef EP_PROP

#define EP_ROW(...) ROW(EP_MAT_FRAGRANCE, EP_FRAGRANCE_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_FRAGRANCE_##id, FRAGRANCE_UNIT_##id, value, lo, hi, how, src)
static const ep_material fragrances[] = {
#include "fragrances.def"
};
#undef EP_ROW
#undef EP_PROP

#define EP_ROW(...) ROW(EP_MAT_DYE, EP_DYE_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_DYE_##id, DYE_UNIT_##id, value, lo, hi, how, src)
static const ep_material dyes[] = {
#include "dyes.def"
};
#undef EP_ROW
#undef EP_PROP

#define EP_ROW(...) ROW(EP_MAT_ADDITIVE, EP_ADDITIVE_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_ADDITIVE_##id, ADDITIVE_UNIT_##id, value, lo, hi, how, src)
static const ep_material additives[] = {
#include "additives.def"
};
#undef EP_ROW
#undef EP_PROP

#define EP_ROW(...) ROW(EP_MAT_CONTAINER, EP_CONTAINER_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_CONTAINER_##id, CONTAINER_UNIT_##id, value, lo, hi, how, src)
static const ep_material containers[] = {
#include "containers.def"
};
#undef EP_ROW
#undef EP_PROP

#define EP_ROW(...) ROW(EP_MAT_WICK, EP_WICK_COUNT_, __VA_ARGS__)
#define EP_PROP(id, value, lo, hi, how, src)                                                       \
    PROP_SI(EP_WICK_##id, WICK_UNIT_##id, value, lo, hi, how, src)
static const ep_material wicks[] = {
#include "wicks.def"
};
#undef EP_ROW
#undef EP_PROP

#define LENGTH(array) ((int)(sizeof(array) / sizeof(array)[0]))

static const struct {
    const ep_material *row;
    int n;
} table[EP_MAT_KIND_COUNT_] = {
    [EP_MAT_WAX] = {waxes, LENGTH(waxes)},
    [EP_MAT_FRAGRANCE] = {fragrances, LENGTH(fragrances)},
    [EP_MAT_DYE] = {dyes, LENGTH(dyes)},
    [EP_MAT_ADDITIVE] = {additives, LENGTH(additives)},
    [EP_MAT_CONTAINER] = {containers, LENGTH(containers)},
    [EP_MAT_WICK] = {wicks, LENGTH(wicks)},
};

int ep_builtin_count(ep_material_kind kind)
{
    assert((int)kind >= 0 && (int)kind < (int)EP_MAT_KIND_COUNT_);
    return table[kind].n;
}

const ep_material *ep_builtin(ep_material_kind kind, int i)
{
    assert(i >= 0 && i < ep_builtin_count(kind));
    return &table[kind].row[i];
}

const ep_material *ep_builtin_find(const char *id)
{
    assert(id);
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        for (int i = 0; i < table[kind].n; i++) {
            if (strcmp(id, table[kind].row[i].id) == 0) {
                return &table[kind].row[i];
            }
        }
    }
    return NULL;
}

const char *ep_tables_version(void)
{
    return version;
}
