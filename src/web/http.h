/// The seam between the HTTP library and the door: plain requests in, plain replies out.
/// Nothing here knows the library, so it can be changed without touching a handler.
#pragma once
#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"
#include "web/lan.h"

struct ep_visitor;
struct ep_waiter;

typedef struct ep_http_header {
    const char *name;   ///< borrowed, name_len bytes, may hold anything a client sent
    const char *value;  ///< borrowed, value_len bytes
    size_t name_len, value_len;
} ep_http_header;

typedef struct ep_http_req {
    const char *method, *version;  ///< borrowed, as sent
    const char *target;            ///< borrowed: path and query as sent, still percent-encoded
    const ep_http_header *header;
    int n_headers;
    const char *body;  ///< borrowed, not terminated; NULL when empty
    size_t body_len;
    bool encrypted;                    ///< it came by https
    uint32_t peer_ip;                  ///< who sent it, host byte order
    const ep_lan *lan;                 ///< networks the door answers besides loopback; NULL = none
    const struct ep_visitor *visitor;  ///< who that is, once it was found out; NULL = the computer
    const struct ep_waiter *waiter;    ///< is the sender still there? NULL = taken for granted
} ep_http_req;

/// One answer. Zero-initialise; fill with the functions below or by hand.
typedef struct ep_http_reply {
    int status;        ///< 200, 404, ...
    const char *type;  ///< content type, static text
    const void *body;  ///< borrowed for the program's life unless `owned`
    size_t len;
    void *owned;        ///< freed with free() once sent; body points into it
    const char *allow;  ///< Allow header of a 405, or NULL
    char file[80];      ///< Content-Disposition header: save it under this name; "" = none
    char cookie[256];   ///< Set-Cookie header, "" = none
    int retry_s;        ///< Retry-After header, 0 = none
    char etag[40];      ///< "" = an answer no cache may keep
    bool gzip;          ///< body is gzip-encoded
    bool varies;        ///< another Accept-Encoding would get another body
    bool stream;        ///< become an event stream; the body is ignored
    bool close;         ///< drop the connection afterwards
} ep_http_reply;

/// Value of the first header called `name` (any case), or NULL. Not terminated: *len is its length.
const char *ep_http_find(const ep_http_req *rq, const char *name, size_t *len);

/// Does a header hold exactly this text, ignoring case?
bool ep_http_is(const ep_http_req *rq, const char *name, const char *text);

/// HTTP status of a use case's status: docs/api.md, "Errors".
int ep_http_status_of(ep_status status);

/// {"error": {"status", "field", "text", "more": [{"status", "field", "text"}]}} with the given
/// HTTP status; `more` when there was more than one mistake.
void ep_http_reply_error(ep_http_reply *reply, int http_status, const ep_err *err);

/// Free what the reply owns.
void ep_http_reply_clear(ep_http_reply *reply);
