// The guard in front of every request (RFC 9110, RFC 9112).
//
// G1  The request line: HTTP/1.0 or 1.1, a method of GET, HEAD, POST, a target that starts with '/'
//     and is at most EP_WEB_URI_MAX bytes of visible characters.
// G2  At most EP_WEB_HEADERS_MAX header lines; names are tokens (no blank before the colon), values
//     hold no control characters.
// G3  Exactly one Host, and it names this machine's loopback or, with --lan, one of its addresses
//     or its .local name: a foreign name that resolves here is the way a strange page would reach
//     us (DNS rebinding).
// G4  At most one Content-Length, digits only, at most EP_WEB_BODY_MAX.
// G5  No Transfer-Encoding: no client of ours needs it, and two ways to say where a body ends are
//     one too many.
// G6  GET and HEAD carry no body.
// G7  A POST comes from our own pages or from a program, never from another site's page.
// G8  The same for every request below /api/, also where that is written with escapes: nobody
// else's
//     page may start a calculation.
// G9  A POST with a body says it is JSON, which a plain form of another site cannot.
#include "web/guard.h"

#include <string.h>
#include <strings.h>

#include "web/web.h"

static int refuse(ep_err *err, int http_status, ep_status status, const char *field,
                  const char *text)
{
    ep_err_set(err, status, field, "%s", text);
    return http_status;
}

static bool is_token_char(unsigned char c)
{
    if ((c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z')) {
        return true;
    }
    return c != '\0' && strchr("!#$%&'*+-.^_`|~", c) != NULL;
}

static bool is_token(const char *s, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (!is_token_char((unsigned char)s[i])) {
            return false;
        }
    }
    return n > 0;
}

static bool is_field_value(const char *s, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)s[i];
        if ((c < 0x20 && c != '\t') || c == 0x7f) {
            return false;
        }
    }
    return true;
}

static bool is_one_of(const char *s, const char *const *list)
{
    for (; *list; list++) {
        if (strcmp(s, *list) == 0) {
            return true;
        }
    }
    return false;
}

static int count(const ep_http_req *rq, const char *name)
{
    size_t n = strlen(name);
    int found = 0;
    for (int i = 0; i < rq->n_headers; i++) {
        const ep_http_header *h = &rq->header[i];
        found += h->name_len == n && strncasecmp(h->name, name, n) == 0;
    }
    return found;
}

// G1
static int check_line(const ep_http_req *rq, ep_err *err)
{
    static const char *const versions[] = {"HTTP/1.1", "HTTP/1.0", NULL};
    static const char *const methods[] = {"GET", "HEAD", "POST", NULL};
    if (!is_one_of(rq->version, versions)) {
        return refuse(err, 505, EP_E_USAGE, "", "this door speaks HTTP/1.1");
    }
    if (!is_one_of(rq->method, methods)) {
        return refuse(err, 405, EP_E_USAGE, "", "only GET, HEAD and POST are answered here");
    }
    size_t n = strnlen(rq->target, EP_WEB_URI_MAX + 1);
    if (n > EP_WEB_URI_MAX) {
        return refuse(err, 414, EP_E_USAGE, "", "the address is longer than 8192 bytes");
    }
    if (rq->target[0] != '/') {
        return refuse(err, 400, EP_E_USAGE, "", "the address must start with '/'");
    }
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)rq->target[i];
        if (c <= 0x20 || c >= 0x7f) {
            return refuse(err, 400, EP_E_USAGE, "",
                          "the address holds a character that must be "
                          "percent-encoded");
        }
    }
    return 0;
}

// G2
static int check_headers(const ep_http_req *rq, ep_err *err)
{
    if (rq->n_headers > EP_WEB_HEADERS_MAX) {
        return refuse(err, 431, EP_E_USAGE, "", "more than 64 header lines");
    }
    for (int i = 0; i < rq->n_headers; i++) {
        const ep_http_header *h = &rq->header[i];
        if (!is_token(h->name, h->name_len) || !is_field_value(h->value, h->value_len)) {
            return refuse(err, 400, EP_E_USAGE, "", "a header line is malformed");
        }
    }
    return 0;
}

// length of the name in "name" or "name:port"; 0 when the port is none
static size_t name_len(const char *s, size_t n)
{
    size_t len = 0;
    while (len < n && s[len] != ':') {
        // a colon inside brackets belongs to an IPv6 address
        if (s[len] == '[') {
            while (len < n && s[len] != ']') {
                len++;
            }
        }
        len += len < n;
    }
    if (len == n) {
        return n;
    }
    size_t digits = 0;
    while (len + 1 + digits < n && s[len + 1 + digits] >= '0' && s[len + 1 + digits] <= '9') {
        digits++;
    }
    return digits >= 1 && digits <= 5 && len + 1 + digits == n ? len : 0;
}

static bool is_loopback_name(const char *s, size_t n)
{
    static const char *const ours[] = {"127.0.0.1", "localhost", "[::1]", NULL};
    for (const char *const *o = ours; *o; o++) {
        if (n == strlen(*o) && strncasecmp(s, *o, n) == 0) {
            return true;
        }
    }
    return false;
}

const char *ep_guard_host(const ep_http_req *rq, size_t *len)
{
    const char *host = ep_http_find(rq, "Host", len);
    *len = host ? name_len(host, *len) : 0;
    return host;
}

bool ep_guard_is_loopback(const ep_http_req *rq)
{
    size_t len = 0;
    const char *host = ep_guard_host(rq, &len);
    return host && is_loopback_name(host, len);
}

// G3
static int check_host(const ep_http_req *rq, ep_err *err)
{
    if (count(rq, "Host") != 1) {
        return refuse(err, 400, EP_E_USAGE, "host", "exactly one Host header is needed");
    }
    size_t len = 0;
    const char *host = ep_guard_host(rq, &len);
    if (!is_loopback_name(host, len) && !ep_lan_is_name(rq->lan, host, len)) {
        return refuse(err, 403, EP_E_DENIED, "host",
                      rq->lan ? "this workshop answers only to the addresses of its own computer"
                              : "this workshop answers only as localhost or 127.0.0.1");
    }
    return 0;
}

size_t ep_guard_body_len(const ep_http_req *rq)
{
    size_t n = 0;
    const char *text = ep_http_find(rq, "Content-Length", &n);
    size_t len = 0;
    for (size_t i = 0; text && i < n && len <= EP_WEB_BODY_MAX; i++) {
        len = len * 10 + (size_t)(text[i] - '0');
    }
    return len;
}

// G4, G5, G6
static int check_length(const ep_http_req *rq, ep_err *err)
{
    int lengths = count(rq, "Content-Length");
    if (count(rq, "Transfer-Encoding") > 0) {
        if (lengths > 0) {
            return refuse(err, 400, EP_E_USAGE, "",
                          "Content-Length and Transfer-Encoding exclude each other");
        }
        return refuse(err, 411, EP_E_USAGE, "", "a body needs a Content-Length");
    }
    if (lengths > 1) {
        return refuse(err, 400, EP_E_USAGE, "", "more than one Content-Length");
    }
    size_t n = 0;
    const char *text = ep_http_find(rq, "Content-Length", &n);
    if (!text) {
        return 0;
    }
    for (size_t i = 0; i < n; i++) {
        if (text[i] < '0' || text[i] > '9') {
            return refuse(err, 400, EP_E_USAGE, "", "Content-Length is not a number");
        }
    }
    if (n == 0) {
        return refuse(err, 400, EP_E_USAGE, "", "Content-Length is empty");
    }
    if (ep_guard_body_len(rq) > EP_WEB_BODY_MAX) {
        return refuse(err, 413, EP_E_ARG, "", "the body is larger than 1 MiB");
    }
    if (ep_guard_body_len(rq) > 0 && strcmp(rq->method, "POST") != 0) {
        return refuse(err, 400, EP_E_USAGE, "", "only a POST carries a body");
    }
    return 0;
}

// a page of ours has the origin "http://" or "https://", as it came, and the very Host it asked
static bool is_own_origin(const ep_http_req *rq)
{
    size_t n = 0;
    size_t host_len = 0;
    const char *origin = ep_http_find(rq, "Origin", &n);
    const char *host = ep_http_find(rq, "Host", &host_len);
    const char *scheme = rq->encrypted ? "https://" : "http://";
    size_t s = strlen(scheme);
    return n == s + host_len && strncasecmp(origin, scheme, s) == 0 &&
           strncasecmp(origin + s, host, host_len) == 0;
}

// Might this target be below /api/ once it is decoded? "/%61pi/" is, and no page of ours has a '%'
// in the first part of its address.
static bool may_be_api(const char *target)
{
    size_t n = strcspn(target + 1, "/?");
    return (n == 3 && strncmp(target + 1, "api", 3) == 0) || memchr(target + 1, '%', n) != NULL;
}

// G7, G8
static int check_site(const ep_http_req *rq, ep_err *err)
{
    bool post = strcmp(rq->method, "POST") == 0;
    if (!post && !may_be_api(rq->target)) {
        return 0;
    }
    if (count(rq, "Sec-Fetch-Site") > 0 && !ep_http_is(rq, "Sec-Fetch-Site", "same-origin") &&
        !ep_http_is(rq, "Sec-Fetch-Site", "none")) {
        return refuse(err, 403, EP_E_DENIED, "", "another site's page may not use this workshop");
    }
    if (count(rq, "Origin") > 1 || (count(rq, "Origin") == 1 && !is_own_origin(rq))) {
        return refuse(err, 403, EP_E_DENIED, "", "another site's page may not use this workshop");
    }
    return 0;
}

// G9
static int check_type(const ep_http_req *rq, ep_err *err)
{
    if (strcmp(rq->method, "POST") != 0 || ep_guard_body_len(rq) == 0) {
        return 0;
    }
    static const char json[] = "application/json";
    size_t n = 0;
    const char *type = ep_http_find(rq, "Content-Type", &n);
    size_t len = sizeof json - 1;
    if (!type || n < len || strncasecmp(type, json, len) != 0 ||
        (n > len && type[len] != ';' && type[len] != ' ')) {
        return refuse(err, 415, EP_E_USAGE, "", "send the body as application/json");
    }
    return 0;
}

int ep_guard_check(const ep_http_req *rq, ep_err *err)
{
    int (*const rule[])(const ep_http_req *, ep_err *) = {check_line,   check_headers, check_host,
                                                          check_length, check_site,    check_type};
    for (size_t i = 0; i < sizeof rule / sizeof rule[0]; i++) {
        int refused = rule[i](rq, err);
        if (refused) {
            return refused;
        }
    }
    return 0;
}
