/// Event streams: every page holds one open and hears that something was written, so that two
/// benches see the same shelf. Messages carry no data beyond the name of the case: pages read anew.
/// Needs: base. Thread use: any; waiting blocks the caller.
#pragma once
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct ep_events ep_events;

ep_events *ep_events_create(void);  ///< owned; NULL when out of memory
void ep_events_destroy(ep_events *e);

/// A write named `name` succeeded: wake every stream. name is borrowed for the program's life.
void ep_events_post(ep_events *e, const char *name);

/// Take one of the EP_WEB_STREAMS_MAX places; false when all are taken or the door is closing.
/// @param seen  out: the change from which this stream starts
bool ep_events_join(ep_events *e, uint64_t *seen);
void ep_events_leave(ep_events *e);

/// End every stream.
void ep_events_quit(ep_events *e);

/// Wait for the next change after *seen, at most `seconds`, and write the text to send: an event,
/// or a heartbeat comment when nothing happened (a dead client is only noticed by writing).
/// @return bytes written into buf (cap >= 128), 0 when the stream must end
size_t ep_events_next(ep_events *e, uint64_t *seen, int seconds, char *buf, size_t cap);
