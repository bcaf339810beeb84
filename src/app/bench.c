// Small things the bench cases share.
#include "app/bench_int.h"

#include <stdarg.h>
#include <stdio.h>

#include "base/text.h"

// two clocks at one bench differ by seconds, not by more
static const ep_time_ms clock_slack_ms = 60000;

ep_status ep_time_check(ep_app *app, ep_time_ms t, ep_time_ms earliest, const char *earliest_what,
                        const char *field, ep_err *err)
{
    char seen[32], lo[32], hi[32];
    ep_time_ms now = ep_app_now(app);
    if (t >= earliest && t <= now + clock_slack_ms) {
        return EP_OK;
    }
    ep_time_format(t, seen, sizeof seen);
    ep_time_format(earliest, lo, sizeof lo);
    ep_time_format(now, hi, sizeof hi);
    return ep_err_set(err, EP_E_ARG, field, "%s: %s is outside %s (%s) to %s (now)", field, seen,
                      lo, earliest_what, hi);
}

void ep_warn(json_t *list, const char *fmt, ...)
{
    char text[400];
    va_list args;
    va_start(args, fmt);
    vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    json_array_append_new(list, json_string(text));
}
