/// Shared by authority.c and leaf.c alone: what an open authority is, and the steps both kinds of
/// certificate have in common. Calls return what GnuTLS says: below 0 is a failure.
#pragma once
#include <gnutls/gnutls.h>
#include <gnutls/x509.h>

#include "web/authority.h"

#define EP_CERT_DAY_S 86400

struct ep_authority {
    char *path;  ///< of its file; the key is read from there when it is needed and not kept
    gnutls_x509_crt_t crt;
    gnutls_x509_name_constraints_t limits;  ///< what it may vouch for
    gnutls_datum_t der;                     ///< of crt
    char fingerprint[EP_FINGERPRINT_LEN + 1];
    char name[96];
    unsigned char secret[EP_AUTHORITY_SECRET];
};

/// The authority's key from its file.
/// @param key  out, owned, on EP_OK
/// @return EP_E_IO also when the file holds another authority's by now
ep_status ep_cert_authority_key(const ep_authority *a, gnutls_x509_privkey_t *key, ep_err *err);

/// "tls: what (reason)" with the status that fits.
ep_status ep_cert_fail(ep_err *err, const char *what, int rc);

/// A new P-256 key; *key is NULL or must be freed, whatever is returned.
int ep_cert_key(gnutls_x509_privkey_t *key);

/// Version, a number nobody can guess, first and last second, key, the key's name.
int ep_cert_fill(gnutls_x509_crt_t crt, gnutls_x509_privkey_t key, time_t from, time_t until);

/// Both as text (PEM), owned: gnutls_free.
int ep_cert_export(gnutls_x509_crt_t crt, gnutls_x509_privkey_t key, gnutls_datum_t *cert_pem,
                   gnutls_datum_t *key_pem);

static inline time_t ep_cert_seconds(ep_time_ms t)
{
    return (time_t)(t / 1000);
}
