/// Watches what is due and tells the event streams, so that a page can ring. What it tells is read
/// from the book by the case "today" and measured by the app's clock: nothing is kept here that a
/// restart could lose.
/// Needs: app, events. One thread, started and joined here.
#pragma once
#include "app/app.h"
#include "web/events.h"

typedef struct ep_due_watch ep_due_watch;

/// @param out  owned, ep_due_stop; NULL when the table has no case "today"
/// @return EP_E_MEMORY when no thread can be had
ep_status ep_due_start(ep_app *app, const ep_use_case *cases, int n_cases, ep_events *events,
                       ep_due_watch **out, ep_err *err);

/// Call ep_events_quit first. NULL is allowed.
void ep_due_stop(ep_due_watch *w);

/// The message for an answer of "today" at a time: {"due": [entries whose time has come],
/// "next_at": the soonest of the others or null}. Owned text; NULL when out of memory.
/// @param next_ms  out: next_at, 0 when there is none
char *ep_due_message(const json_t *today, ep_time_ms now, ep_time_ms *next_ms);
