/// The world's time, passed in so that tests can set it and speed it up.
#pragma once
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

/// Milliseconds since 1970-01-01T00:00:00Z.
typedef int64_t ep_time_ms;

typedef struct ep_clock {
    ep_time_ms (*now)(void *ctx);
    void *ctx;
} ep_clock;

ep_clock ep_clock_system(void);

/// State of a clock that starts at `start_ms` and runs `speed` times as fast as the wall clock.
/// Caller owns it; ep_clock_scaled borrows it, and sets wall_start_ms to now when it is 0.
typedef struct ep_clock_scale {
    ep_time_ms start_ms;
    ep_time_ms wall_start_ms;
    double speed;
} ep_clock_scale;
ep_clock ep_clock_scaled(ep_clock_scale *state);

ep_time_ms ep_clock_now(const ep_clock *clock);

/// "2026-11-25T12:00:00.000Z"; buf of at least 25 bytes. Returns buf.
const char *ep_time_format(ep_time_ms t, char *buf, size_t cap);

/// Reads "2026-11-25", "2026-11-25T12:00", "...:30", fractions, and a 'Z' or "+02:00" zone.
/// Without a zone it is UTC. EP_E_PARSE names the field, the text and the part that is wrong.
ep_status ep_time_parse(const char *text, const char *field, ep_time_ms *out, ep_err *err);
