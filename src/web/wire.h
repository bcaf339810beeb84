/// What an https connection reads and writes through. A client that speaks plain http to it (an
/// address typed without "https") is told where to go, instead of a connection that just ends.
/// Needs: GnuTLS. Thread use: the thread of the connection.
#pragma once
#include <stdbool.h>

struct gnutls_session_int;

typedef struct ep_wire {
    int fd;                    ///< the connection, borrowed
    int plain_port, tls_port;  ///< what is said to who speaks plain http
    bool heard;                ///< its first byte was looked at
} ep_wire;

/// Put the wire under a session, before its handshake.
/// @param wire  filled by the caller but for `heard`; lives as long as the session is used
void ep_wire_under(ep_wire *wire, struct gnutls_session_int *session);
