/// Event streams: every page holds one open and hears two things: that something was written, so
/// that two benches see the same shelf (the message carries no data beyond the name of the case:
/// pages read anew), and which readings are due, so that a page can ring.
/// Needs: base. Thread use: any; waiting blocks the caller.
#pragma once
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

typedef struct ep_events ep_events;

/// How far a stream has been told.
typedef struct ep_events_mark {
    uint64_t change;  ///< writes
    uint64_t due;     ///< states of what is due; 0 = tell the present one first
} ep_events_mark;

ep_events *ep_events_create(void);  ///< owned; NULL when out of memory
void ep_events_destroy(ep_events *e);

/// A write named `name` succeeded: wake every stream. name is borrowed for the program's life.
void ep_events_post(ep_events *e, const char *name);

/// What is due now, as one line of JSON. Streams are told when it differs from what they know.
void ep_events_due(ep_events *e, const char *json);

/// Take one of the EP_WEB_STREAMS_MAX places; false when all are taken or the door is closing.
/// @param here  the computer itself, for whom EP_WEB_STREAMS_KEPT places are kept from devices
/// @param mark  out: from where this stream starts
bool ep_events_join(ep_events *e, bool here, ep_events_mark *mark);
void ep_events_leave(ep_events *e);

/// End every stream.
void ep_events_quit(ep_events *e);

/// Wait for news after *mark, at most `seconds`, and add the text to send to `out`: events, or a
/// heartbeat comment when nothing happened (a dead client is only noticed by writing).
/// @return false when the stream must end
bool ep_events_next(ep_events *e, ep_events_mark *mark, int seconds, ep_text *out);

/// Wait for a write after *change, at most `seconds`.
/// @return false when the door is closing
bool ep_events_wait(ep_events *e, uint64_t *change, int seconds);
