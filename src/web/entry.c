// Who may ask what.
//
// E1  Without --lan the door listens on loopback alone, and everybody is the computer itself.
// E2  With it, the computer itself is who comes from 127.0.0.1 and calls us by a loopback name.
// E3  Whoever is not in one of the machine's own networks is not answered.
// E4  A device is known by its cookie, 32 random bytes; revoked is unknown.
// E5  Without one only the pages themselves (no word of the workshop is in them) and the two
//     requests by which a device is let in are answered.
// E6  A device may do what its role allows: app/devices.h, ep_case_who. Addresses that are no case
//     (event stream, description of the door, anything misspelt) take a device, of any role.
// E7  Asking to be let in, and asking whether one was, is limited by the minute, per address and in
//     all, and a stranger's body is small.
// E8  With https on, plain http answers nobody but the computer itself, except with the page that
//     says how to come in (web/trust.h); a cookie is not even looked at.
// E9  A cookie given out by https carries a mark only this workshop's authority can make, and https
//     takes no other: a key that once went through the air in plain text opens nothing there.
#include "web/entry.h"

#include <stdio.h>
#include <string.h>

#include <sodium.h>

#include "web/guard.h"
#include "web/trust.h"

#define ASK_PER_ADDRESS  5
#define ASK_TOTAL        20
#define WAIT_PER_ADDRESS 60
#define WAIT_TOTAL       300
#define COOKIE_LIFE_S    (180 * 24 * 3600)
#define MARK_BYTES       16
#define MARK_LEN         (2 * MARK_BYTES)

void ep_entry_init(ep_entry *e, const ep_api *api)
{
    e->api = api;
    ep_rate_init(&e->asking, ASK_PER_ADDRESS, ASK_TOTAL);
    ep_rate_init(&e->waiting, WAIT_PER_ADDRESS, WAIT_TOTAL);
}

void ep_entry_clear(ep_entry *e)
{
    ep_rate_clear(&e->asking);
    ep_rate_clear(&e->waiting);
}

// cookies belong to a host and all its ports: the name keeps two workshops on one machine apart.
// "__Host-" makes a browser refuse one that is not Secure or was set by a page without encryption
// (RFC 6265bis 4.1.3.2).
static int cookie_name(const ep_api *api, const ep_http_req *rq, char *buf, size_t cap)
{
    return snprintf(buf, cap, "%sevenpool_device_%d=", rq->encrypted ? "__Host-" : "",
                    rq->encrypted ? api->tls_port : api->port);
}

// E9
static void mark_of(const ep_api *api, const char *token, char mark[MARK_LEN + 1])
{
    unsigned char raw[MARK_BYTES], tie[EP_AUTHORITY_SECRET];
    ep_authority_secret(api->authority, tie);
    crypto_generichash(raw, sizeof raw, (const unsigned char *)token, strlen(token), tie,
                       sizeof tie);
    sodium_memzero(tie, sizeof tie);
    sodium_bin2hex(mark, MARK_LEN + 1, raw, sizeof raw);
}

const char *ep_entry_set_cookie(const ep_api *api, const ep_http_req *rq, const char *token,
                                char *buf, size_t cap)
{
    char name[48], mark[MARK_LEN + 1] = "";
    cookie_name(api, rq, name, sizeof name);
    if (rq->encrypted) {
        mark_of(api, token, mark);
    }
    // no "Secure" on plain http: such a cookie would never be sent back
    snprintf(buf, cap, "%s%s%s%s; Path=/; Max-Age=%d; HttpOnly; SameSite=Strict%s", name, token,
             *mark ? "." : "", mark, COOKIE_LIFE_S, rq->encrypted ? "; Secure" : "");
    return buf;
}

static bool find_cookie(const ep_api *api, const ep_http_req *rq, char *buf, size_t cap)
{
    char name[48];
    size_t n = (size_t)cookie_name(api, rq, name, sizeof name);
    size_t len = 0;
    const char *all = ep_http_find(rq, "Cookie", &len);
    for (size_t i = 0; all && i < len;) {
        size_t end = i;
        while (end < len && all[end] != ';') {
            end++;
        }
        if (end - i >= n && memcmp(all + i, name, n) == 0 && end - i - n < cap) {
            memcpy(buf, all + i + n, end - i - n);
            buf[end - i - n] = '\0';
            return true;
        }
        i = end + 1;
        i += i < len && all[i] == ' ';
    }
    return false;
}

bool ep_entry_cookie(const ep_api *api, const ep_http_req *rq, char *buf, size_t cap)
{
    if (!rq->encrypted) {
        return find_cookie(api, rq, buf, cap);
    }
    char value[EP_TOKEN_LEN + 1 + MARK_LEN + 1], mark[MARK_LEN + 1];
    if (!find_cookie(api, rq, value, sizeof value) || strlen(value) != sizeof value - 1 ||
        value[EP_TOKEN_LEN] != '.' || cap <= EP_TOKEN_LEN) {
        return false;
    }
    value[EP_TOKEN_LEN] = '\0';
    mark_of(api, value, mark);
    if (sodium_memcmp(mark, value + EP_TOKEN_LEN + 1, MARK_LEN) != 0) {
        return false;
    }
    memcpy(buf, value, EP_TOKEN_LEN + 1);
    return true;
}

static int refuse(ep_err *err, int http_status, ep_status status, const char *field,
                  const char *text)
{
    ep_err_set(err, status, field, "%s", text);
    return http_status;
}

// E4; 0, or 500 when the book cannot be read
static int recognise(const ep_entry *e, const ep_http_req *rq, ep_visitor *who, ep_err *err)
{
    char token[EP_TOKEN_LEN + 1];
    ep_err why = {0};
    if (!ep_entry_cookie(e->api, rq, token, sizeof token)) {
        return 0;
    }
    ep_status s = ep_visitor_of_token(e->api->app, token, who, &why);
    if (s == EP_OK || s == EP_E_DENIED) {
        return 0;
    }
    return refuse(err, ep_http_status_of(s), s, why.field, why.text);
}

// E5, E6: the least who may ask this; 0, or the status of an address that cannot be read
static int needed(const ep_entry *e, const ep_http_req *rq, ep_who *least, const ep_use_case **c,
                  ep_err *err)
{
    ep_target target;
    const char *allow = NULL;
    ep_status s = ep_target_parse(rq->target, &target, err);
    *c = NULL;
    if (s != EP_OK) {
        return ep_http_status_of(s);
    }
    *least = EP_WHO_STRANGER;
    if (strcmp(target.segment[0], "api") == 0) {
        *c = ep_api_find(e->api, rq->method, &target, &allow);
        *least = *c ? ep_case_who(*c) : EP_WHO_BENCH;
    }
    ep_target_clear(&target);
    return 0;
}

// E7
static int limit(ep_entry *e, const ep_http_req *rq, const ep_use_case *c, double now_s,
                 int *retry_s, ep_err *err)
{
    if (!c || ep_case_who(c) != EP_WHO_STRANGER) {
        return 0;
    }
    if (ep_guard_body_len(rq) > EP_ENTRY_BODY_MAX) {
        return refuse(err, 413, EP_E_ARG, "", "the body is larger than 4 KiB");
    }
    bool waits = strcmp(c->name, "device_wait") == 0;
    *retry_s = ep_rate_take(waits ? &e->waiting : &e->asking, rq->peer_ip, now_s);
    if (*retry_s > 0) {
        ep_err_set(err, EP_E_DENIED, "", "too many tries: wait %d s", *retry_s);
        return 429;
    }
    return 0;
}

static int judge(const ep_visitor *who, ep_who least, ep_err *err)
{
    if (who->who >= least) {
        return 0;
    }
    if (who->who == EP_WHO_STRANGER) {
        return refuse(err, 403, EP_E_DENIED, "device",
                      "this device is not paired with the workshop: make a code at its computer");
    }
    return refuse(err, 403, EP_E_DENIED, "role",
                  least == EP_WHO_HERE ? "this can be done at the workshop's computer alone"
                                       : "this device was let in for the bench: it may light, read "
                                         "and put out, not this");
}

// E8
static int explain_only(const ep_entry *e, const ep_http_req *rq, ep_err *err)
{
    bool asks = strcmp(rq->method, "GET") == 0 || strcmp(rq->method, "HEAD") == 0;
    if (asks && strncmp(rq->target, "/api", 4) != 0) {
        return 0;
    }
    size_t len = 0;
    const char *host = ep_guard_host(rq, &len);
    ep_err_set(err, EP_E_DENIED, "https",
               "this workshop answers devices encrypted only: open https://%.*s:%d/, and "
               "http://%.*s:%d/ to be told how",
               (int)len, host, e->api->tls_port, (int)len, host, e->api->port);
    return 403;
}

int ep_entry_check(ep_entry *e, const ep_http_req *rq, double now_s, ep_visitor *who, int *retry_s,
                   ep_err *err)
{
    *retry_s = 0;
    *who = (ep_visitor){.who = EP_WHO_HERE};
    if (!rq->lan || (ep_lan_is_self(rq->peer_ip) && ep_guard_is_loopback(rq))) {
        return 0;
    }
    who->who = EP_WHO_STRANGER;
    if (!ep_lan_is_near(rq->lan, rq->peer_ip)) {
        return refuse(err, 403, EP_E_DENIED, "network",
                      "this workshop answers only devices of its own network");
    }
    if (ep_trust_is_all(e->api, rq)) {
        return explain_only(e, rq, err);
    }
    ep_who least = EP_WHO_HERE;
    const ep_use_case *c = NULL;
    int refused = recognise(e, rq, who, err);
    refused = refused ? refused : needed(e, rq, &least, &c, err);
    refused = refused ? refused : judge(who, least, err);
    return refused ? refused : limit(e, rq, c, now_s, retry_s, err);
}
