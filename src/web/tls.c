// Certificates in use. Each is counted by the connections that were shown it, and freed with the
// last of them once another took its place.
#include "web/tls.h"

#include <gnutls/gnutls.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"

struct ep_tls_shown {
    gnutls_certificate_credentials_t cred;
    ep_leaf leaf;
    int users;  // connections, and one more while it is the current one
};

struct ep_tls {
    ep_authority *authority;
    ep_clock clock;
    bool is_new;
    pthread_mutex_t lock;
    ep_tls_shown *now;
};

static void shown_free(ep_tls_shown *s)
{
    if (s) {
        if (s->cred) {
            gnutls_certificate_free_credentials(s->cred);
        }
        ep_leaf_clear(&s->leaf);
        free(s);
    }
}

static gnutls_datum_t datum_of(char *text)
{
    return (gnutls_datum_t){.data = (unsigned char *)text, .size = (unsigned)strlen(text)};
}

static ep_tls_shown *shown_make(const ep_tls *t, const ep_lan *lan, ep_err *err)
{
    ep_tls_shown *s = calloc(1, sizeof *s);
    if (!s) {
        ep_err_set(err, EP_E_MEMORY, "", "out of memory");
        return NULL;
    }
    s->users = 1;
    if (ep_authority_issue(t->authority, lan, ep_clock_now(&t->clock), &s->leaf, err) != EP_OK) {
        shown_free(s);
        return NULL;
    }
    gnutls_datum_t cert = datum_of(s->leaf.cert_pem);
    gnutls_datum_t key = datum_of(s->leaf.key_pem);
    int rc = gnutls_certificate_allocate_credentials(&s->cred);
    if (rc >= 0) {
        rc = gnutls_certificate_set_x509_key_mem(s->cred, &cert, &key, GNUTLS_X509_FMT_PEM);
    }
    if (rc < 0) {
        ep_err_set(err, EP_E_IO, "tls", "tls: the server certificate cannot be used (%s)",
                   gnutls_strerror(rc));
        shown_free(s);
        return NULL;
    }
    if (s->leaf.left_out > 0) {
        ep_log(EP_LOG_WARN,
               "tls: %d of this computer's addresses or names are not among those the workshop's "
               "authority may vouch for; phones cannot use them",
               s->leaf.left_out);
    }
    return s;
}

ep_status ep_tls_open(const char *path, const ep_clock *clock, const ep_lan *lan, ep_tls **out,
                      ep_err *err)
{
    ep_tls *t = calloc(1, sizeof *t);
    if (!t) {
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    pthread_mutex_init(&t->lock, NULL);
    t->clock = *clock;
    ep_status s = ep_authority_open(path, lan, ep_clock_now(clock), &t->authority, &t->is_new, err);
    if (s == EP_OK) {
        t->now = shown_make(t, lan, err);
        s = t->now ? EP_OK : err->status;
    }
    if (s != EP_OK) {
        ep_tls_close(t);
        return s;
    }
    *out = t;
    return EP_OK;
}

void ep_tls_close(ep_tls *t)
{
    if (t) {
        shown_free(t->now);
        ep_authority_close(t->authority);
        pthread_mutex_destroy(&t->lock);
        free(t);
    }
}

const ep_authority *ep_tls_authority(const ep_tls *t)
{
    return t->authority;
}

bool ep_tls_is_new(const ep_tls *t)
{
    return t->is_new;
}

const ep_leaf *ep_tls_leaf(const ep_tls *t)
{
    return &t->now->leaf;
}

static void leave(ep_tls_shown *s)
{
    if (--s->users == 0) {
        shown_free(s);
    }
}

ep_tls_shown *ep_tls_show(ep_tls *t, struct gnutls_session_int *session, const ep_lan *lan)
{
    pthread_mutex_lock(&t->lock);
    if (ep_leaf_is_stale(&t->now->leaf, t->authority, lan, ep_clock_now(&t->clock))) {
        ep_err err = {0};
        ep_tls_shown *next = shown_make(t, lan, &err);
        if (next) {
            leave(t->now);
            t->now = next;
        } else {
            ep_log(EP_LOG_WARN, "%s", err.text);
        }
    }
    ep_tls_shown *s = t->now;
    s->users++;
    pthread_mutex_unlock(&t->lock);
    int rc = gnutls_credentials_set(session, GNUTLS_CRD_CERTIFICATE, s->cred);
    if (rc < 0) {
        // the handshake goes on with the certificate of the start
        ep_log(EP_LOG_WARN, "tls: %s", gnutls_strerror(rc));
    }
    return s;
}

void ep_tls_let_go(ep_tls *t, ep_tls_shown *shown)
{
    pthread_mutex_lock(&t->lock);
    leave(shown);
    pthread_mutex_unlock(&t->lock);
}
