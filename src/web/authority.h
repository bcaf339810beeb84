/// The workshop's own certificate authority, and the server certificates it signs (RFC 5280).
/// The authority is made once and kept in one file beside the database: its certificate and its
/// key. Phones are told to trust it. Server certificates live in memory only: a new one costs a
/// millisecond, and a key that was never written cannot be copied.
/// P-256 keys, SHA-256; the authority may vouch for names ending in .local, for the private
/// networks of RFC 1918, for link-local addresses (RFC 3927), and for the addresses this machine
/// had when the authority was made; not for any other name on the internet.
/// docs/decisions/009-https.md. Needs: base, lan, keyfile, GnuTLS, which nobody sees from outside.
/// Thread use: an open authority is only read.
#pragma once
#include "base/clock.h"
#include "base/status.h"
#include "web/lan.h"

#define EP_AUTHORITY_DAYS  3650  ///< an authority holds this long
#define EP_LEAF_DAYS       397   ///< a server certificate at most; phones refuse long ones
#define EP_LEAF_SPARE_DAYS 30    ///< it is made anew when less is left

enum { EP_FINGERPRINT_LEN = 95, EP_AUTHORITY_SECRET = 32 };

typedef struct ep_authority ep_authority;

/// A server certificate with its key, both as text (PEM), and what it says. Zero-initialise.
typedef struct ep_leaf {
    char *cert_pem, *key_pem;  ///< owned: ep_leaf_clear
    ep_time_ms from, until;    ///< whole seconds, both included
    ep_lan names;              ///< the addresses and the name it was made for
    int left_out;              ///< of these: what the authority may not vouch for
} ep_leaf;

/// Read the authority, or make it when there is no such file.
/// @param lan   addresses of this machine, borrowed: a new authority may vouch for them
/// @param made  out: a new one was made; every phone must be told to trust it
/// @param out   owned: ep_authority_close
/// @return EP_E_IO naming the file when it cannot be read or written, is half-written, holds
///         something else, or is over; EP_E_MEMORY
ep_status ep_authority_open(const char *path, const ep_lan *lan, ep_time_ms now, ep_authority **out,
                            bool *made, ep_err *err);
void ep_authority_close(ep_authority *a);  ///< NULL is allowed

/// The certificate for phones, as they want it (DER). Borrowed.
const void *ep_authority_der(const ep_authority *a, size_t *len);
/// SHA-256 of it, "AB:CD:...", EP_FINGERPRINT_LEN characters. Borrowed.
const char *ep_authority_fingerprint(const ep_authority *a);
/// Its name, as phones list it: "Evenpool on laptop (2026-11-29)". Borrowed.
const char *ep_authority_name(const ep_authority *a);
ep_time_ms ep_authority_until(const ep_authority *a);

/// A secret that follows from the authority's key and can be had nowhere else.
void ep_authority_secret(const ep_authority *a, unsigned char out[EP_AUTHORITY_SECRET]);

/// Sign a certificate for the machine's addresses and its .local name, from a day before `now`, so
/// that a phone whose clock is behind takes it. Never outlives the authority. Reads the authority's
/// file: its key is not kept in memory.
/// @param out  cleared first by the caller; filled only on EP_OK
/// @return EP_E_IO when the file is gone or changed, EP_E_MEMORY
ep_status ep_authority_issue(const ep_authority *a, const ep_lan *lan, ep_time_ms now, ep_leaf *out,
                             ep_err *err);

/// Must another be made: because it ends soon, has not begun (the clock was set back), or the
/// machine has other addresses or another name?
bool ep_leaf_is_stale(const ep_leaf *leaf, const ep_authority *a, const ep_lan *lan,
                      ep_time_ms now);
void ep_leaf_clear(ep_leaf *leaf);
