// The kinds of reading: names, ranges, and the check of what someone typed.
#include <assert.h>
#include <math.h>
#include <string.h>

#include "judge/judge.h"

// a ruler over a jar is read to the half millimetre
static const double ruler_mm = 0.5;

static const ep_reading_def defs[EP_READ_COUNT_] = {
#define X(id, key, unit, type, min, max, label, help)                                              \
    [EP_READ_##id] = {key, EP_U_##unit, #type[0], min, max, label, help},
    EP_READING_LIST(X)
#undef X
};

const ep_reading_def *ep_reading_def_of(ep_reading_kind kind)
{
    assert((int)kind >= 0 && kind < EP_READ_COUNT_);
    return &defs[kind];
}

bool ep_reading_find(const char *key, ep_reading_kind *out)
{
    assert(key && out);
    for (int i = 0; i < EP_READ_COUNT_; i++) {
        if (strcmp(defs[i].key, key) == 0) {
            *out = (ep_reading_kind)i;
            return true;
        }
    }
    return false;
}

// grades, flags and scores are whole numbers, and so is a count of lightings
static bool must_be_whole(ep_reading_kind kind)
{
    return defs[kind].type != 'N' || kind == EP_READ_RELIGHTS;
}

static const char *gap_before(ep_unit unit)
{
    return *ep_unit_symbol(unit) ? " " : "";
}

// widest value of a length the container itself allows; INFINITY when it sets no bound
static double room_in_jar_mm(ep_reading_kind kind, double inner_mm)
{
    bool across = kind == EP_READ_POOL_WIDE || kind == EP_READ_POOL_NARROW;
    bool from_middle =
        kind == EP_READ_LEAN || kind == EP_READ_WALL_GAP || kind == EP_READ_HANGUP_THICK;
    return across ? inner_mm : from_middle ? inner_mm / 2.0 : (double)INFINITY;
}

ep_status ep_reading_check(ep_reading_kind kind, double value, double inner_m, ep_err *err)
{
    const ep_reading_def *def = ep_reading_def_of(kind);
    const char *gap = gap_before(def->unit), *unit = ep_unit_symbol(def->unit);
    if (!(value >= def->min && value <= def->max)) {
        return ep_err_set(err, EP_E_ARG, def->key, "%s: %.6g%s%s is outside %.6g to %.6g%s%s",
                          def->key, value, gap, unit, def->min, def->max, gap, unit);
    }
    if (must_be_whole(kind) && value != floor(value)) {
        return ep_err_set(err, EP_E_ARG, def->key, "%s: %.6g must be a whole number, %.6g to %.6g",
                          def->key, value, def->min, def->max);
    }
    double most_mm = inner_m > 0.0 ? room_in_jar_mm(kind, inner_m * 1e3) : (double)INFINITY;
    if (value > most_mm + ruler_mm) {
        return ep_err_set(err, EP_E_ARG, def->key,
                          "%s: %.6g mm does not fit a container %.6g mm wide inside; 0 to %.6g mm",
                          def->key, value, inner_m * 1e3, most_mm);
    }
    return EP_OK;
}
