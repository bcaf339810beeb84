/// The certificate the door shows just now: made at the start, made anew when it ends soon or the
/// machine's addresses change. A connection keeps the one it began with until it closes.
/// Needs: authority, GnuTLS. Thread use: any; one lock.
#pragma once
#include "web/authority.h"

/// What the door lets a client choose from: TLS 1.3 and 1.2, with ciphers that also check what
/// arrives (AEAD) and keys that are thrown away (RFC 9325).
#define EP_TLS_PRIORITIES                                                                          \
    "SECURE128:-VERS-ALL:+VERS-TLS1.3:+VERS-TLS1.2:-CIPHER-ALL:"                                   \
    "+AES-128-GCM:+AES-256-GCM:+CHACHA20-POLY1305:"                                                \
    "-KX-ALL:+ECDHE-ECDSA:%SERVER_PRECEDENCE"

struct gnutls_session_int;
typedef struct ep_tls ep_tls;
typedef struct ep_tls_shown ep_tls_shown;  ///< a certificate in use

/// @param path   the authority's file, made when there is none
/// @param clock  true time, not a pretended one: phones compare it with theirs
/// @return as ep_authority_open
ep_status ep_tls_open(const char *path, const ep_clock *clock, const ep_lan *lan, ep_tls **out,
                      ep_err *err);
void ep_tls_close(ep_tls *t);  ///< after the last connection closed. NULL is allowed

const ep_authority *ep_tls_authority(const ep_tls *t);
bool ep_tls_is_new(const ep_tls *t);  ///< was the authority made by ep_tls_open?

/// Show this connection the certificate that is right now; a new one when it must be. When none can
/// be made the old one stays, which is logged.
/// @param session  of the connection, before its handshake
/// @return to be given back with ep_tls_let_go when the connection is closed; never NULL
ep_tls_shown *ep_tls_show(ep_tls *t, struct gnutls_session_int *session, const ep_lan *lan);
void ep_tls_let_go(ep_tls *t, ep_tls_shown *shown);

/// The certificate of the start, for whoever wants one before there is a connection. Borrowed; the
/// text lives as long as nothing was shown.
const ep_leaf *ep_tls_leaf(const ep_tls *t);
