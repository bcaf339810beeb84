// The server certificate: for the addresses this machine has now, for a year and a month.
#include <arpa/inet.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "web/authority_int.h"

static bool may_vouch(const ep_authority *a, gnutls_x509_subject_alt_name_t kind, const void *name,
                      size_t len)
{
    union {
        const void *in;
        unsigned char *out;
    } bytes = {.in = name};
    gnutls_datum_t d = {.data = bytes.out, .size = (unsigned)len};
    return gnutls_x509_name_constraints_check(a->limits, kind, &d) == 1;
}

static int name_one(gnutls_x509_crt_t crt, const ep_authority *a,
                    gnutls_x509_subject_alt_name_t kind, const void *name, size_t len,
                    int *left_out)
{
    if (!may_vouch(a, kind, name, len)) {
        (*left_out)++;
        return 0;
    }
    return gnutls_x509_crt_set_subject_alt_name(crt, kind, name, (unsigned)len, GNUTLS_FSAN_APPEND);
}

static int name_all(gnutls_x509_crt_t crt, const ep_authority *a, const ep_lan *lan, int *left_out)
{
    int rc = 0;
    *left_out = 0;
    for (int i = 0; rc >= 0 && i < lan->n; i++) {
        uint32_t ip = htonl(lan->address[i].ip);
        rc = name_one(crt, a, GNUTLS_SAN_IPADDRESS, &ip, sizeof ip, left_out);
    }
    if (rc >= 0 && lan->name[0]) {
        rc = name_one(crt, a, GNUTLS_SAN_DNSNAME, lan->name, strlen(lan->name), left_out);
    }
    return rc;
}

// no common name: a name that is one must stand in the list of names (RFC 9525), and checkers that
// still look here would hold it to the authority's limits
static int fill(gnutls_x509_crt_t crt, const ep_authority *a, const ep_lan *lan, int *left_out)
{
    static const char owner[] = "Evenpool workshop";
    unsigned char id[64];
    size_t id_len = sizeof id;
    int rc = gnutls_x509_crt_set_dn_by_oid(crt, GNUTLS_OID_X520_ORGANIZATION_NAME, 0, owner,
                                           sizeof owner - 1);
    rc = rc < 0 ? rc : name_all(crt, a, lan, left_out);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_basic_constraints(crt, 0, -1);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_key_usage(crt, GNUTLS_KEY_DIGITAL_SIGNATURE);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_key_purpose_oid(crt, GNUTLS_KP_TLS_WWW_SERVER, 0);
    rc = rc < 0 ? rc : gnutls_x509_crt_get_subject_key_id(a->crt, id, &id_len, NULL);
    return rc < 0 ? rc : gnutls_x509_crt_set_authority_key_id(crt, id, id_len);
}

static int issue(const ep_authority *a, gnutls_x509_privkey_t signer, const ep_lan *lan,
                 time_t from, time_t until, gnutls_datum_t *cert, gnutls_datum_t *key_pem,
                 int *left_out)
{
    gnutls_x509_crt_t crt = NULL;
    gnutls_x509_privkey_t key = NULL;
    int rc = gnutls_x509_crt_init(&crt);
    if (rc < 0) {
        return rc;
    }
    rc = ep_cert_key(&key);
    rc = rc < 0 ? rc : ep_cert_fill(crt, key, from, until);
    rc = rc < 0 ? rc : fill(crt, a, lan, left_out);
    rc = rc < 0 ? rc : gnutls_x509_crt_sign2(crt, a->crt, signer, GNUTLS_DIG_SHA256, 0);
    rc = rc < 0 ? rc : ep_cert_export(crt, key, cert, key_pem);
    gnutls_x509_crt_deinit(crt);
    if (key) {
        gnutls_x509_privkey_deinit(key);
    }
    return rc;
}

ep_status ep_authority_issue(const ep_authority *a, const ep_lan *lan, ep_time_ms now, ep_leaf *out,
                             ep_err *err)
{
    gnutls_datum_t cert = {0}, key = {0};
    ep_leaf leaf = {.names = *lan};
    time_t from = ep_cert_seconds(now) - EP_CERT_DAY_S;
    // both ends count (RFC 5280 4.1.2.5): a second less than so many days
    time_t until = from + (time_t)EP_LEAF_DAYS * EP_CERT_DAY_S - 1;
    time_t last = ep_cert_seconds(ep_authority_until(a));
    time_t first = gnutls_x509_crt_get_activation_time(a->crt);
    until = until < last ? until : last;
    from = from > first ? from : first;
    gnutls_x509_privkey_t signer = NULL;
    ep_status s = ep_cert_authority_key(a, &signer, err);
    if (s != EP_OK) {
        return s;
    }
    int rc = issue(a, signer, lan, from, until, &cert, &key, &leaf.left_out);
    gnutls_x509_privkey_deinit(signer);
    leaf.from = (ep_time_ms)from * 1000;
    leaf.until = (ep_time_ms)until * 1000;
    leaf.cert_pem = rc < 0 ? NULL : strndup((const char *)cert.data, cert.size);
    leaf.key_pem = rc < 0 ? NULL : strndup((const char *)key.data, key.size);
    gnutls_free(cert.data);
    if (key.data) {
        sodium_memzero(key.data, key.size);
        gnutls_free(key.data);
    }
    if (rc < 0) {
        return ep_cert_fail(err, "the server certificate cannot be made", rc);
    }
    if (!leaf.cert_pem || !leaf.key_pem) {
        ep_leaf_clear(&leaf);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    *out = leaf;
    return EP_OK;
}

static bool has_ip(const ep_lan *lan, uint32_t ip)
{
    for (int i = 0; i < lan->n; i++) {
        if (lan->address[i].ip == ip) {
            return true;
        }
    }
    return false;
}

static bool same_names(const ep_lan *a, const ep_lan *b)
{
    bool same = a->n == b->n && strcasecmp(a->name, b->name) == 0;
    for (int i = 0; same && i < a->n; i++) {
        same = has_ip(b, a->address[i].ip) && has_ip(a, b->address[i].ip);
    }
    return same;
}

bool ep_leaf_is_stale(const ep_leaf *leaf, const ep_authority *a, const ep_lan *lan, ep_time_ms now)
{
    const ep_time_ms spare = (ep_time_ms)EP_LEAF_SPARE_DAYS * EP_CERT_DAY_S * 1000;
    // one that ends with its authority cannot be made to last longer
    bool ends_soon = now > leaf->until - spare && leaf->until < ep_authority_until(a);
    return ends_soon || now < leaf->from || !same_names(&leaf->names, lan);
}

void ep_leaf_clear(ep_leaf *leaf)
{
    free(leaf->cert_pem);
    if (leaf->key_pem) {
        sodium_memzero(leaf->key_pem, strlen(leaf->key_pem));
        free(leaf->key_pem);
    }
    *leaf = (ep_leaf){0};
}
