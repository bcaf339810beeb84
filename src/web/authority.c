// Certificates with GnuTLS. The text of a certificate is never put together here, only its fields.
#include "web/authority.h"

#include <arpa/inet.h>
#include <gnutls/crypto.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "web/authority_int.h"
#include "web/keyfile.h"

#define COMMON_NAME_MAX 64  // RFC 5280 A.1, ub-common-name

ep_status ep_cert_fail(ep_err *err, const char *what, int rc)
{
    return ep_err_set(err, rc == GNUTLS_E_MEMORY_ERROR ? EP_E_MEMORY : EP_E_IO, "tls",
                      "tls: %s (%s)", what, gnutls_strerror(rc));
}

int ep_cert_key(gnutls_x509_privkey_t *key)
{
    int rc = gnutls_x509_privkey_init(key);
    if (rc < 0) {
        *key = NULL;
        return rc;
    }
    return gnutls_x509_privkey_generate(*key, GNUTLS_PK_ECDSA,
                                        GNUTLS_CURVE_TO_BITS(GNUTLS_ECC_CURVE_SECP256R1), 0);
}

int ep_cert_fill(gnutls_x509_crt_t crt, gnutls_x509_privkey_t key, time_t from, time_t until)
{
    unsigned char serial[16], id[32];
    size_t id_len = sizeof id;
    int rc = gnutls_rnd(GNUTLS_RND_NONCE, serial, sizeof serial);
    serial[0] = (unsigned char)((serial[0] & 0x7f) | 0x40);  // positive, of full length
    rc = rc < 0 ? rc : gnutls_x509_crt_set_version(crt, 3);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_serial(crt, serial, sizeof serial);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_activation_time(crt, from);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_expiration_time(crt, until);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_key(crt, key);
    rc = rc < 0 ? rc : gnutls_x509_crt_get_key_id(crt, GNUTLS_KEYID_USE_SHA256, id, &id_len);
    return rc < 0 ? rc : gnutls_x509_crt_set_subject_key_id(crt, id, 20);
}

static int permit_net(gnutls_x509_name_constraints_t nc, uint32_t ip, uint32_t mask)
{
    uint32_t raw[2] = {htonl(ip & mask), htonl(mask)};
    gnutls_datum_t d = {.data = (unsigned char *)raw, .size = sizeof raw};
    return gnutls_x509_name_constraints_add_permitted(nc, GNUTLS_SAN_IPADDRESS, &d);
}

static int permit(gnutls_x509_name_constraints_t nc, const ep_lan *lan)
{
    static const struct {
        uint32_t ip, mask;
    } net[] = {{0x0a000000u, 0xff000000u},   // 10.0.0.0/8, RFC 1918
               {0xac100000u, 0xfff00000u},   // 172.16.0.0/12
               {0xc0a80000u, 0xffff0000u},   // 192.168.0.0/16
               {0xa9fe0000u, 0xffff0000u}};  // 169.254.0.0/16, RFC 3927
    unsigned char local[] = "local";
    gnutls_datum_t name = {.data = local, .size = sizeof local - 1};
    int rc = gnutls_x509_name_constraints_add_permitted(nc, GNUTLS_SAN_DNSNAME, &name);
    for (size_t i = 0; rc >= 0 && i < sizeof net / sizeof net[0]; i++) {
        rc = permit_net(nc, net[i].ip, net[i].mask);
    }
    for (int i = 0; rc >= 0 && i < lan->n; i++) {
        bool within = false;
        for (size_t k = 0; k < sizeof net / sizeof net[0]; k++) {
            within = within || (lan->address[i].ip & net[k].mask) == net[k].ip;
        }
        rc = within ? rc : permit_net(nc, lan->address[i].ip, 0xffffffffu);
    }
    return rc;
}

static int set_limits(gnutls_x509_crt_t crt, const ep_lan *lan)
{
    gnutls_x509_name_constraints_t nc = NULL;
    int rc = gnutls_x509_name_constraints_init(&nc);
    if (rc < 0) {
        return rc;
    }
    rc = permit(nc, lan);
    // critical, as RFC 5280 4.2.1.10 demands: who does not understand it must not trust at all
    rc = rc < 0 ? rc : gnutls_x509_crt_set_name_constraints(crt, nc, 1);
    gnutls_x509_name_constraints_deinit(nc);
    return rc;
}

static int make(const ep_lan *lan, ep_time_ms now, gnutls_x509_crt_t crt, gnutls_x509_privkey_t key)
{
    char name[COMMON_NAME_MAX + 1], day[32];
    size_t host = strcspn(lan->name, ".");
    // "Evenpool on " and " (2026-11-29)" have 25
    host = host > COMMON_NAME_MAX - 25 ? COMMON_NAME_MAX - 25 : host;
    ep_time_format(now, day, sizeof day);
    // no comma or other sign that a list of names would have to escape
    snprintf(name, sizeof name, "Evenpool on %.*s (%.10s)", host ? (int)host : 13,
             host ? lan->name : "this computer", day);
    time_t from = ep_cert_seconds(now) - EP_CERT_DAY_S;
    int rc = ep_cert_fill(crt, key, from, from + (time_t)EP_AUTHORITY_DAYS * EP_CERT_DAY_S - 1);
    rc = rc < 0 ? rc
                : gnutls_x509_crt_set_dn_by_oid(crt, GNUTLS_OID_X520_COMMON_NAME, 0, name,
                                                (unsigned)strlen(name));
    rc = rc < 0 ? rc : gnutls_x509_crt_set_basic_constraints(crt, 1, 0);
    rc = rc < 0 ? rc : gnutls_x509_crt_set_key_usage(crt, GNUTLS_KEY_KEY_CERT_SIGN);
    rc = rc < 0 ? rc : set_limits(crt, lan);
    return rc < 0 ? rc : gnutls_x509_crt_sign2(crt, crt, key, GNUTLS_DIG_SHA256, 0);
}

static void wipe(gnutls_datum_t *d)
{
    if (d->data) {
        sodium_memzero(d->data, d->size);
        gnutls_free(d->data);
        d->data = NULL;
    }
}

// by way of DER, because the library's own way to PEM leaves the key behind in memory it freed
int ep_cert_export(gnutls_x509_crt_t crt, gnutls_x509_privkey_t key, gnutls_datum_t *cert_pem,
                   gnutls_datum_t *key_pem)
{
    gnutls_datum_t der = {0};
    int rc = gnutls_x509_crt_export2(crt, GNUTLS_X509_FMT_PEM, cert_pem);
    rc = rc < 0 ? rc
                : gnutls_x509_privkey_export2_pkcs8(key, GNUTLS_X509_FMT_DER, NULL,
                                                    GNUTLS_PKCS_PLAIN, &der);
    rc = rc < 0 ? rc : gnutls_pem_base64_encode2("PRIVATE KEY", &der, key_pem);
    wipe(&der);
    return rc;
}

// certificate and key in one file: it is there whole or not at all
static ep_status keep(const char *path, gnutls_x509_crt_t crt, gnutls_x509_privkey_t key,
                      ep_err *err)
{
    gnutls_datum_t cert_pem = {0}, key_pem = {0};
    int rc = ep_cert_export(crt, key, &cert_pem, &key_pem);
    ep_status s = rc < 0 ? ep_cert_fail(err, "the authority cannot be written down", rc) : EP_OK;
    if (s == EP_OK) {
        ep_text t;
        ep_text_init(&t);
        ep_text_addf(&t,
                     "The certificate authority of an Evenpool workshop, with its private key.\n"
                     "Whoever has this file can pretend to be a page of your network to every "
                     "phone that trusts it.\nDo not send it to anybody.\n%.*s%.*s",
                     (int)cert_pem.size, (const char *)cert_pem.data, (int)key_pem.size,
                     (const char *)key_pem.data);
        s = t.ok ? ep_keyfile_make(path, t.data, t.len, err)
                 : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
        if (t.data) {
            sodium_memzero(t.data, t.len);
        }
        ep_text_clear(&t);
    }
    gnutls_free(cert_pem.data);
    wipe(&key_pem);
    return s;
}

static ep_status make_file(const char *path, const ep_lan *lan, ep_time_ms now, ep_err *err)
{
    gnutls_x509_crt_t crt = NULL;
    gnutls_x509_privkey_t key = NULL;
    int rc = gnutls_x509_crt_init(&crt);
    rc = rc < 0 ? rc : ep_cert_key(&key);
    rc = rc < 0 ? rc : make(lan, now, crt, key);
    ep_status s =
        rc < 0 ? ep_cert_fail(err, "the authority cannot be made", rc) : keep(path, crt, key, err);
    if (crt) {
        gnutls_x509_crt_deinit(crt);
    }
    if (key) {
        gnutls_x509_privkey_deinit(key);
    }
    return s;
}

static bool same_key(gnutls_x509_crt_t crt, gnutls_x509_privkey_t key)
{
    unsigned char a[32], b[32];
    size_t n = sizeof a, m = sizeof b;
    return gnutls_x509_crt_get_key_id(crt, GNUTLS_KEYID_USE_SHA256, a, &n) >= 0 &&
           gnutls_x509_privkey_get_key_id(key, GNUTLS_KEYID_USE_SHA256, b, &m) >= 0 && n == m &&
           memcmp(a, b, n) == 0;
}

// an authority of ours: signed by itself, allowed to sign, limited, with the key that belongs to it
static bool is_ours(const ep_authority *a, gnutls_x509_privkey_t key)
{
    unsigned verdict = 1;
    unsigned critical = 0;
    gnutls_x509_crt_t list[1] = {a->crt};
    return gnutls_x509_crt_get_ca_status(a->crt, &critical) == 1 && same_key(a->crt, key) &&
           gnutls_x509_privkey_verify_params(key) >= 0 &&
           gnutls_x509_crt_get_name_constraints(a->crt, a->limits, 0, &critical) >= 0 &&
           gnutls_x509_crt_list_verify(list, 1, list, 1, NULL, 0, GNUTLS_VERIFY_DISABLE_TIME_CHECKS,
                                       &verdict) >= 0 &&
           verdict == 0;
}

static int derive(ep_authority *a, gnutls_x509_privkey_t from)
{
    unsigned char sum[32];
    size_t n = sizeof sum;
    size_t name_len = sizeof a->name;
    static const char use[] = "evenpool: tie of a device's cookie to encryption";
    gnutls_datum_t key = {0};
    int rc = gnutls_x509_crt_export2(a->crt, GNUTLS_X509_FMT_DER, &a->der);
    rc = rc < 0 ? rc : gnutls_x509_crt_get_fingerprint(a->crt, GNUTLS_DIG_SHA256, sum, &n);
    for (size_t i = 0; rc >= 0 && i < n; i++) {
        snprintf(a->fingerprint + 3 * i, 4, i + 1 < n ? "%02X:" : "%02X", sum[i]);
    }
    rc = rc < 0 ? rc
                : gnutls_x509_crt_get_dn_by_oid(a->crt, GNUTLS_OID_X520_COMMON_NAME, 0, 0, a->name,
                                                &name_len);
    rc = rc < 0 ? rc
                : gnutls_x509_privkey_export2_pkcs8(from, GNUTLS_X509_FMT_DER, NULL,
                                                    GNUTLS_PKCS_PLAIN, &key);
    if (rc >= 0) {
        crypto_generichash_state state;
        crypto_generichash_init(&state, NULL, 0, sizeof a->secret);
        crypto_generichash_update(&state, (const unsigned char *)use, sizeof use);
        crypto_generichash_update(&state, key.data, key.size);
        crypto_generichash_final(&state, a->secret, sizeof a->secret);
    }
    wipe(&key);
    return rc;
}

static ep_status check_time(const ep_authority *a, const char *path, ep_time_ms now, ep_err *err)
{
    char from[32], until[32];
    time_t begins = gnutls_x509_crt_get_activation_time(a->crt);
    if (ep_cert_seconds(now) < begins) {
        ep_time_format((ep_time_ms)begins * 1000, from, sizeof from);
        return ep_err_set(err, EP_E_IO, "tls",
                          "tls: this computer's clock says a day before %s began (%.10s): set it",
                          path, from);
    }
    if (now >= ep_authority_until(a)) {
        ep_time_format(ep_authority_until(a), until, sizeof until);
        return ep_err_set(err, EP_E_IO, "tls",
                          "tls: %s ended on %.10s: remove it; then a new one is made, and every "
                          "phone must be told to trust that",
                          path, until);
    }
    return EP_OK;
}

static gnutls_datum_t datum_of(const char *text, size_t len)
{
    union {
        const char *in;
        unsigned char *out;
    } bytes = {.in = text};
    return (gnutls_datum_t){.data = bytes.out, .size = (unsigned)len};
}

// *key is NULL or must be freed, whatever is returned; by way of DER for the same reason as above
static int import_key(const char *text, size_t len, gnutls_x509_privkey_t *key)
{
    gnutls_datum_t d = datum_of(text, len), der = {0};
    int rc = gnutls_x509_privkey_init(key);
    if (rc < 0) {
        *key = NULL;
        return rc;
    }
    rc = gnutls_pem_base64_decode2("PRIVATE KEY", &d, &der);
    rc = rc < 0 ? rc
                : gnutls_x509_privkey_import_pkcs8(*key, &der, GNUTLS_X509_FMT_DER, NULL,
                                                   GNUTLS_PKCS_PLAIN);
    wipe(&der);
    return rc;
}

static ep_status no_authority(const ep_authority *a, int rc, ep_err *err)
{
    return ep_err_set(err, EP_E_IO, "tls",
                      "tls: %s is damaged or no authority of a workshop (%s): put a copy of it "
                      "back, or remove it; then a new one is made, and every phone must be told "
                      "to trust that",
                      a->path, rc < 0 ? gnutls_strerror(rc) : "its parts do not fit together");
}

static ep_status parse(const char *text, size_t len, ep_authority *a, ep_err *err)
{
    gnutls_datum_t d = datum_of(text, len);
    gnutls_x509_privkey_t key = NULL;
    int rc = gnutls_x509_crt_init(&a->crt);
    rc = rc < 0 ? rc : gnutls_x509_name_constraints_init(&a->limits);
    if (rc < 0) {
        return ep_cert_fail(err, "the authority cannot be read", rc);
    }
    rc = gnutls_x509_crt_import(a->crt, &d, GNUTLS_X509_FMT_PEM);
    rc = rc < 0 ? rc : import_key(text, len, &key);
    ep_status s = rc < 0 || !is_ours(a, key) ? no_authority(a, rc, err) : EP_OK;
    if (s == EP_OK) {
        rc = derive(a, key);
        s = rc < 0 ? ep_cert_fail(err, "the authority cannot be read", rc) : EP_OK;
    }
    if (key) {
        gnutls_x509_privkey_deinit(key);
    }
    return s;
}

// read anew each time, once a year or when the network changes: a process forked for a picture, or
// a dump of this one, then holds no key that every phone of the workshop trusts
ep_status ep_cert_authority_key(const ep_authority *a, gnutls_x509_privkey_t *key, ep_err *err)
{
    char *text = NULL;
    size_t len = 0;
    *key = NULL;
    ep_status s = ep_keyfile_read(a->path, &text, &len, err);
    if (s != EP_OK) {
        return s == EP_E_NOT_FOUND
                   ? ep_err_set(err, EP_E_IO, "tls", "tls: %s is gone: put it back", a->path)
                   : s;
    }
    int rc = import_key(text, len, key);
    ep_keyfile_free(text, len);
    if (rc < 0 || !same_key(a->crt, *key)) {
        s = ep_err_set(err, EP_E_IO, "tls",
                       "tls: %s changed since the program was started: start it again", a->path);
        if (*key) {
            gnutls_x509_privkey_deinit(*key);
            *key = NULL;
        }
    }
    return s;
}

ep_status ep_authority_open(const char *path, const ep_lan *lan, ep_time_ms now, ep_authority **out,
                            bool *made, ep_err *err)
{
    char *text = NULL;
    size_t len = 0;
    *made = false;
    if (sodium_init() < 0) {
        return ep_err_set(err, EP_E_IO, "tls", "tls: the system gives no randomness");
    }
    ep_status s = ep_keyfile_read(path, &text, &len, err);
    if (s == EP_E_NOT_FOUND) {
        s = make_file(path, lan, now, err);
        *made = s == EP_OK;
        if (s == EP_E_CONFLICT) {
            ep_err_clear(err);  // another program was a moment earlier: theirs counts
        }
        // what is used is what the file says, so that a bad disk shows at once
        s = s == EP_OK || s == EP_E_CONFLICT ? ep_keyfile_read(path, &text, &len, err) : s;
    }
    if (s != EP_OK) {
        return s;
    }
    ep_authority *a = calloc(1, sizeof *a);
    if (a) {
        a->path = strdup(path);
    }
    s = a && a->path ? parse(text, len, a, err) : ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    ep_keyfile_free(text, len);
    s = s == EP_OK ? check_time(a, path, now, err) : s;
    if (s != EP_OK) {
        ep_authority_close(a);
        return s;
    }
    *out = a;
    return EP_OK;
}

void ep_authority_close(ep_authority *a)
{
    if (!a) {
        return;
    }
    if (a->crt) {
        gnutls_x509_crt_deinit(a->crt);
    }
    if (a->limits) {
        gnutls_x509_name_constraints_deinit(a->limits);
    }
    gnutls_free(a->der.data);
    free(a->path);
    sodium_memzero(a, sizeof *a);
    free(a);
}

const void *ep_authority_der(const ep_authority *a, size_t *len)
{
    *len = a->der.size;
    return a->der.data;
}

const char *ep_authority_fingerprint(const ep_authority *a)
{
    return a->fingerprint;
}

const char *ep_authority_name(const ep_authority *a)
{
    return a->name;
}

ep_time_ms ep_authority_until(const ep_authority *a)
{
    return (ep_time_ms)gnutls_x509_crt_get_expiration_time(a->crt) * 1000;
}

void ep_authority_secret(const ep_authority *a, unsigned char out[EP_AUTHORITY_SECRET])
{
    memcpy(out, a->secret, EP_AUTHORITY_SECRET);
}
