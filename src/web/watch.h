/// Ends connections that take too long over one step, however busy they look: who sends a byte now
/// and then would otherwise keep a place for days.
/// Needs: base. Threads: one, started and joined here; asleep until the next limit. Thread use:
/// any.
#pragma once
#include "base/status.h"

typedef struct ep_watch ep_watch;

/// @param places  connections watched at once
/// @param out     owned: ep_watch_stop
ep_status ep_watch_start(int places, ep_watch **out, ep_err *err);
void ep_watch_stop(ep_watch *w);  ///< when nothing is watched any more. NULL is allowed

/// Watch a connected socket: when `seconds` are over it is shut down both ways, which its owner
/// notices as a connection that was closed. It is not closed here.
/// @param seconds  from now; 0 = for as long as it likes
/// @return its place, >= 0, until ep_watch_remove; -1 when all are taken: it is not watched then
int ep_watch_add(ep_watch *w, int fd, int seconds);

/// A new step begins: the limit counts from now. A place of -1 is left alone.
void ep_watch_set(ep_watch *w, int place, int seconds);

/// Before the socket is closed, because its number then means something else.
void ep_watch_remove(ep_watch *w, int place);
