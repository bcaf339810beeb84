// Kinds of material, their property tables and the check of a row. The rows themselves: builtin.c.
#include "matter/material.h"

#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

static const char *const kind_keys[EP_MAT_KIND_COUNT_] = {"wax",      "fragrance", "dye",
                                                          "additive", "container", "wick"};

// one table of definitions per kind, from the lists of the header
#define X(id, key, unit, min, max, label, help) {key, EP_U_##unit, min, max, label, help},
static const ep_prop_def wax_defs[] = {EP_WAX_PROPS(X)};
static const ep_prop_def fragrance_defs[] = {EP_FRAGRANCE_PROPS(X)};
static const ep_prop_def dye_defs[] = {EP_DYE_PROPS(X)};
static const ep_prop_def additive_defs[] = {EP_ADDITIVE_PROPS(X)};
static const ep_prop_def container_defs[] = {EP_CONTAINER_PROPS(X)};
static const ep_prop_def wick_defs[] = {EP_WICK_PROPS(X)};
#undef X

_Static_assert((int)EP_WAX_COUNT_ <= (int)EP_MAX_PROPS, "a wax has too many properties");

const char *ep_how_key(ep_how how)
{
    switch (how) {
#define X(id, key, text)                                                                           \
    case EP_HOW_##id:                                                                              \
        return key;
        EP_HOW_LIST(X)
#undef X
    case EP_HOW_COUNT_:
        break;
    }
    return "unknown";
}

const char *ep_how_text(ep_how how)
{
    switch (how) {
#define X(id, key, text)                                                                           \
    case EP_HOW_##id:                                                                              \
        return text;
        EP_HOW_LIST(X)
#undef X
    case EP_HOW_COUNT_:
        break;
    }
    return "origin unknown";
}

bool ep_how_find(const char *key, ep_how *out)
{
    assert(key && out);
    for (int how = 0; how < (int)EP_HOW_COUNT_; how++) {
        if (strcmp(key, ep_how_key((ep_how)how)) == 0) {
            *out = (ep_how)how;
            return true;
        }
    }
    return false;
}

const char *ep_material_kind_key(ep_material_kind kind)
{
    if ((int)kind < 0 || (int)kind >= (int)EP_MAT_KIND_COUNT_) {
        return "unknown";
    }
    return kind_keys[kind];
}

bool ep_material_kind_find(const char *key, ep_material_kind *out)
{
    assert(key && out);
    for (int kind = 0; kind < (int)EP_MAT_KIND_COUNT_; kind++) {
        if (strcmp(key, kind_keys[kind]) == 0) {
            *out = (ep_material_kind)kind;
            return true;
        }
    }
    return false;
}

const ep_prop_def *ep_prop_defs(ep_material_kind kind, int *n)
{
    static const struct {
        const ep_prop_def *defs;
        int n;
    } table[EP_MAT_KIND_COUNT_] = {
        [EP_MAT_WAX] = {wax_defs, EP_WAX_COUNT_},
        [EP_MAT_FRAGRANCE] = {fragrance_defs, EP_FRAGRANCE_COUNT_},
        [EP_MAT_DYE] = {dye_defs, EP_DYE_COUNT_},
        [EP_MAT_ADDITIVE] = {additive_defs, EP_ADDITIVE_COUNT_},
        [EP_MAT_CONTAINER] = {container_defs, EP_CONTAINER_COUNT_},
        [EP_MAT_WICK] = {wick_defs, EP_WICK_COUNT_},
    };
    assert((int)kind >= 0 && (int)kind < (int)EP_MAT_KIND_COUNT_ && n);
    *n = table[kind].n;
    return table[kind].defs;
}

bool ep_prop_find(ep_material_kind kind, const char *key, int *index)
{
    assert(key && index);
    int n;
    const ep_prop_def *def = ep_prop_defs(kind, &n);
    for (int i = 0; i < n; i++) {
        if (strcmp(key, def[i].key) == 0) {
            *index = i;
            return true;
        }
    }
    return false;
}

// one property: all three numbers inside the definition, in order, and its origin a known one
static ep_status check_prop(const ep_prop_def *def, const ep_prop *p, ep_err *err)
{
    const double seen[] = {p->value, p->lo, p->hi};
    double min = ep_unit_to_si(def->unit, def->min);
    double max = ep_unit_to_si(def->unit, def->max);
    for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++) {
        ep_status status = ep_range_check(seen[i], min, max, def->unit, def->key, err);
        if (status != EP_OK) {
            return status;
        }
    }
    if (p->lo > p->value || p->value > p->hi) {
        char value[32];
        char lo[32];
        char hi[32];
        return ep_err_set(err, EP_E_ARG, def->key,
                          "%s: %s is not between its own low %s and high %s", def->key,
                          ep_quantity_format(p->value, def->unit, 6, value, sizeof value),
                          ep_quantity_format(p->lo, def->unit, 6, lo, sizeof lo),
                          ep_quantity_format(p->hi, def->unit, 6, hi, sizeof hi));
    }
    if ((int)p->how < 0 || (int)p->how >= (int)EP_HOW_COUNT_) {
        return ep_err_set(err, EP_E_ARG, def->key,
                          "%s: how it is known has the number %d, allowed are 0 to %d", def->key,
                          (int)p->how, (int)EP_HOW_COUNT_ - 1);
    }
    if (!memchr(p->src, '\0', sizeof p->src)) {
        return ep_err_set(err, EP_E_ARG, def->key,
                          "%s: the source is longer than the %zu bytes allowed", def->key,
                          sizeof p->src - 1);
    }
    return EP_OK;
}

// property `low` must lie below property `high`; equal is allowed when `or_equal`
static ep_status check_order(const ep_material *m, int low, int high, bool or_equal, ep_err *err)
{
    int n;
    const ep_prop_def *def = ep_prop_defs(m->kind, &n);
    double a = m->prop[low].value;
    double b = m->prop[high].value;
    if (a < b || (or_equal && a <= b)) {
        return EP_OK;
    }
    char seen[32];
    char floor[32];
    return ep_err_set(err, EP_E_ARG, def[high].key, "%s: %s must be above %s, which is %s",
                      def[high].key, ep_quantity_format(b, def[high].unit, 6, seen, sizeof seen),
                      def[low].key, ep_quantity_format(a, def[low].unit, 6, floor, sizeof floor));
}

// what no single range can say: which of two properties is the larger
static ep_status check_orders(const ep_material *m, ep_err *err)
{
    ep_status status = EP_OK;
    if (m->kind == EP_MAT_WAX) {
        status = check_order(m, EP_WAX_SOLIDUS, EP_WAX_LIQUIDUS, false, err);
        if (status == EP_OK) {
            status = check_order(m, EP_WAX_RHO_LIQUID, EP_WAX_RHO_SOLID, false, err);
        }
    } else if (m->kind == EP_MAT_FRAGRANCE) {
        status = check_order(m, EP_FRAGRANCE_P25, EP_FRAGRANCE_P60, true, err);
    } else if (m->kind == EP_MAT_DYE) {
        status = check_order(m, EP_DYE_TYPICAL, EP_DYE_MAX, true, err);
    }
    return status;
}

static ep_status check_text(const char *text, size_t cap, const char *field, ep_err *err)
{
    if (memchr(text, '\0', cap) == NULL) {
        return ep_err_set(err, EP_E_ARG, field, "%s: longer than the %zu bytes allowed", field,
                          cap - 1);
    }
    if (text[0] == '\0') {
        return ep_err_set(err, EP_E_ARG, field, "%s: is empty, 1 to %zu bytes are needed", field,
                          cap - 1);
    }
    return EP_OK;
}

ep_status ep_material_check(const ep_material *m, ep_err *err)
{
    assert(m);
    if ((int)m->kind < 0 || (int)m->kind >= (int)EP_MAT_KIND_COUNT_) {
        return ep_err_set(err, EP_E_ARG, "kind", "kind: number %d, allowed are 0 to %d",
                          (int)m->kind, (int)EP_MAT_KIND_COUNT_ - 1);
    }
    ep_status status = check_text(m->id, sizeof m->id, "id", err);
    if (status == EP_OK) {
        status = check_text(m->name, sizeof m->name, "name", err);
    }
    if (status == EP_OK && memchr(m->klass, '\0', sizeof m->klass) == NULL) {
        status = ep_err_set(err, EP_E_ARG, "class", "class: longer than the %zu bytes allowed",
                            sizeof m->klass - 1);
    }
    if (status != EP_OK) {
        return status;
    }

    int n;
    const ep_prop_def *def = ep_prop_defs(m->kind, &n);
    if (m->n_props != n) {
        return ep_err_set(err, EP_E_ARG, "properties", "properties: %d given, a %s has exactly %d",
                          m->n_props, ep_material_kind_key(m->kind), n);
    }
    for (int i = 0; i < n && status == EP_OK; i++) {
        status = check_prop(&def[i], &m->prop[i], err);
    }
    return status == EP_OK ? check_orders(m, err) : status;
}
