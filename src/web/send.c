// Replies on their way out: headers, files and answers, event streams.
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/log.h"
#include "web/server_int.h"

typedef struct stream {
    ep_web *web;
    ep_events_mark mark;
    char token[EP_TOKEN_LEN + 1];  // of the device that listens, "" = the computer itself
    ep_text out;                   // not yet sent, from `sent` on
    size_t sent;
} stream;

static const char *const security_headers[][2] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; "
     "img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; manifest-src 'self'; "
     "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"},
    {"X-Content-Type-Options", "nosniff"},
    {"X-Frame-Options", "DENY"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Permissions-Policy", "camera=(self), geolocation=(), microphone=()"},
};

static void add(struct MHD_Response *r, const char *name, const char *value)
{
    MHD_add_response_header(r, name, value);
}

static void add_headers(struct MHD_Response *r, const ep_http_reply *reply)
{
    for (size_t i = 0; i < sizeof security_headers / sizeof security_headers[0]; i++) {
        add(r, security_headers[i][0], security_headers[i][1]);
    }
    if (reply->type) {
        add(r, MHD_HTTP_HEADER_CONTENT_TYPE, reply->type);
    }
    // pages are asked for again each time and answered "unchanged"; data is never kept
    add(r, MHD_HTTP_HEADER_CACHE_CONTROL, reply->etag[0] ? "no-cache" : "no-store");
    if (reply->etag[0]) {
        add(r, MHD_HTTP_HEADER_ETAG, reply->etag);
    }
    if (reply->gzip) {
        add(r, MHD_HTTP_HEADER_CONTENT_ENCODING, "gzip");
    }
    if (reply->varies) {
        add(r, MHD_HTTP_HEADER_VARY, "Accept-Encoding");
    }
    if (reply->allow) {
        add(r, MHD_HTTP_HEADER_ALLOW, reply->allow);
    }
    if (reply->file[0]) {
        char disposition[sizeof reply->file + 40];
        snprintf(disposition, sizeof disposition, "attachment; filename=\"%s\"", reply->file);
        add(r, MHD_HTTP_HEADER_CONTENT_DISPOSITION, disposition);
    }
    if (reply->cookie[0]) {
        add(r, MHD_HTTP_HEADER_SET_COOKIE, reply->cookie);
    }
    if (reply->retry_s > 0) {
        char seconds[16];
        snprintf(seconds, sizeof seconds, "%d", reply->retry_s);
        add(r, MHD_HTTP_HEADER_RETRY_AFTER, seconds);
    }
    if (reply->close) {
        add(r, MHD_HTTP_HEADER_CONNECTION, "close");
    }
}

// a device that was shut out meanwhile hears nothing more
static bool may_listen(const stream *s)
{
    ep_visitor who;
    ep_err err = {0};
    return s->token[0] == '\0' ||
           ep_visitor_of_token(s->web->api.app, s->token, &who, &err) != EP_E_DENIED;
}

// Event streams: the library's thread of this connection waits in here.
static ssize_t stream_read(void *ctx, uint64_t pos, char *buf, size_t max)
{
    (void)pos;
    stream *s = ctx;
    if (s->sent == s->out.len) {
        ep_text_clear(&s->out);
        ep_text_init(&s->out);
        s->sent = 0;
        if (!ep_events_next(s->web->events, &s->mark, EP_WEB_HEARTBEAT_S, &s->out) ||
            !may_listen(s)) {
            return MHD_CONTENT_READER_END_OF_STREAM;
        }
    }
    size_t n = s->out.len - s->sent < max ? s->out.len - s->sent : max;
    memcpy(buf, s->out.data + s->sent, n);
    s->sent += n;
    return (ssize_t)n;
}

static void stream_free(void *ctx)
{
    stream *s = ctx;
    ep_events_leave(s->web->events);
    ep_text_clear(&s->out);
    free(s);
}

// NULL when every place is taken
static struct MHD_Response *stream_response(ep_web *web, const ep_http_req *rq)
{
    stream *s = calloc(1, sizeof *s);
    bool here = !rq->visitor || rq->visitor->who == EP_WHO_HERE;
    if (!s || !ep_events_join(web->events, here, &s->mark)) {
        free(s);
        return NULL;
    }
    s->web = web;
    ep_text_init(&s->out);
    ep_text_add(&s->out, "retry: 3000\n: open\n\n");
    if (!here) {
        ep_entry_cookie(&web->api, rq, s->token, sizeof s->token);
    }
    struct MHD_Response *r =
        MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, 1024, stream_read, s, stream_free);
    if (!r) {
        stream_free(s);
    }
    return r;
}

static struct MHD_Response *buffer_response(ep_http_reply *reply)
{
    // the library takes the memory over when it is ours to free, and only reads it when static
    union {
        const void *in;
        void *out;
    } body = {.in = reply->body};
    struct MHD_Response *r = MHD_create_response_from_buffer(
        reply->len, body.out, reply->owned ? MHD_RESPMEM_MUST_FREE : MHD_RESPMEM_PERSISTENT);
    if (r) {
        reply->owned = NULL;
    }
    return r;
}

enum MHD_Result ep_web_send(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
                            ep_http_reply *reply)
{
    struct MHD_Response *r = NULL;
    if (reply->stream) {
        reply->close = true;  // a stream that ends leaves nothing to wait for
        r = stream_response(web, rq);
        if (!r) {
            ep_err err = {.status = EP_E_IO, .text = "too many open event streams"};
            ep_http_reply_error(reply, 503, &err);
        }
    }
    if (!r) {
        r = buffer_response(reply);
    }
    ep_log(EP_LOG_DEBUG, "%s %s %d", rq->method, rq->target, reply->status);
    enum MHD_Result sent = MHD_NO;
    if (r) {
        add_headers(r, reply);
        sent = MHD_queue_response(conn, (unsigned)reply->status, r);
        MHD_destroy_response(r);
    }
    ep_http_reply_clear(reply);
    return sent;
}
