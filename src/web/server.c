// The only file that knows the HTTP library. It uses the part of libmicrohttpd that has held up:
// a thread per connection that may block, poll, no suspended connections, no authentication, no
// form parser, no sockets upgraded. docs/decisions/004-http-door.md says why.
#include <arpa/inet.h>
#include <assert.h>
#include <microhttpd.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "base/log.h"
#include "web/api.h"
#include "web/assets.h"
#include "web/due.h"
#include "web/entry.h"
#include "web/guard.h"
#include "web/socket.h"
#include "web/web.h"

#define HEADERS_SEEN_MAX (EP_WEB_HEADERS_MAX + 1)

struct ep_web {
    struct MHD_Daemon *daemon;
    ep_events *events;
    ep_due_watch *due;
    ep_api api;
    ep_entry entry;
    ep_assets assets;
    bool lan;
};

// one request while it arrives; made when its line was read, freed when it is over
typedef struct pending {
    char *target;
    bool admitted;  // guard and entry let it pass
    ep_visitor visitor;
    ep_lan lan;  // the machine's networks when it came
    char *body;
    size_t body_len, body_cap;
} pending;

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
    if (!s || !ep_events_join(web->events, &s->mark)) {
        free(s);
        return NULL;
    }
    s->web = web;
    ep_text_init(&s->out);
    ep_text_add(&s->out, "retry: 3000\n: open\n\n");
    if (rq->visitor && rq->visitor->who != EP_WHO_HERE) {
        ep_entry_cookie(rq, web->api.port, s->token, sizeof s->token);
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

static enum MHD_Result send_reply(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
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

static void answer(ep_web *web, const ep_http_req *rq, ep_http_reply *reply)
{
    ep_err err = {0};
    ep_target target;
    ep_status s = ep_target_parse(rq->target, &target, &err);
    if (s != EP_OK) {
        ep_http_reply_error(reply, ep_http_status_of(s), &err);
        return;
    }
    if (strcmp(target.segment[0], "api") == 0) {
        ep_api_answer(&web->api, rq, &target, reply);
    } else if (strcmp(rq->method, "POST") == 0) {
        ep_err_set(&err, EP_E_USAGE, "", "POST is not answered here, only GET, HEAD");
        ep_http_reply_error(reply, 405, &err);
        reply->allow = "GET, HEAD";
    } else {
        ep_assets_answer(&web->assets, rq, &target, reply);
    }
    ep_target_clear(&target);
}

typedef struct head {
    ep_http_header header[HEADERS_SEEN_MAX];
    int n;
} head;

static enum MHD_Result collect(void *ctx, enum MHD_ValueKind kind, const char *name,
                               size_t name_len, const char *value, size_t value_len)
{
    (void)kind;
    head *h = ctx;
    if (h->n < HEADERS_SEEN_MAX) {
        h->header[h->n++] = (ep_http_header){name, value ? value : "", name_len, value_len};
    }
    return MHD_YES;
}

static enum MHD_Result refuse(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
                              int http_status, int retry_s, const ep_err *err)
{
    ep_http_reply reply = {0};
    ep_http_reply_error(&reply, http_status, err);
    reply.close = true;
    reply.retry_s = retry_s;
    if (http_status == 405) {
        reply.allow = "GET, HEAD, POST";
    }
    return send_reply(web, conn, rq, &reply);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

// 0 when it is no IPv4 address: such a peer is near nobody
static uint32_t peer_of(struct MHD_Connection *conn)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(conn, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    struct sockaddr_in in;
    if (!info || !info->client_addr || info->client_addr->sa_family != AF_INET) {
        return 0;
    }
    memcpy(&in, info->client_addr, sizeof in);
    return ntohl(in.sin_addr.s_addr);
}

// the head is complete, nothing of the body was read yet
static enum MHD_Result admit(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
                             pending *p)
{
    ep_err err = {0};
    int retry_s = 0;
    int refused = ep_guard_check(rq, &err);
    if (!refused) {
        refused = ep_entry_check(&web->entry, rq, now_s(), &p->visitor, &retry_s, &err);
    }
    if (refused) {
        return refuse(web, conn, rq, refused, retry_s, &err);
    }
    p->body_cap = ep_guard_body_len(rq);
    if (p->body_cap > 0) {
        p->body = malloc(p->body_cap);
        if (!p->body) {
            ep_err_set(&err, EP_E_MEMORY, "", "out of memory");
            return refuse(web, conn, rq, 500, 0, &err);
        }
    }
    p->admitted = true;
    return MHD_YES;
}

static enum MHD_Result take(pending *p, const char *data, size_t *size)
{
    if (*size > p->body_cap - p->body_len) {
        return MHD_NO;  // more than announced: drop the connection
    }
    memcpy(p->body + p->body_len, data, *size);
    p->body_len += *size;
    *size = 0;
    return MHD_YES;
}

// a client that hung up; one that only closed its sending side counts as gone, as browsers do not
static bool still_there(void *ctx)
{
    return ep_socket_open(*(const int *)ctx);
}

static int fd_of(struct MHD_Connection *conn)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(conn, MHD_CONNECTION_INFO_CONNECTION_FD);
    return info ? info->connect_fd : -1;
}

static enum MHD_Result on_request(void *ctx, struct MHD_Connection *conn, const char *url,
                                  const char *method, const char *version, const char *upload,
                                  size_t *upload_size, void **con_cls)
{
    ep_web *web = ctx;
    pending *p = *con_cls;
    (void)url;  // decoded by the library; we take the target as it was sent
    if (!p || !p->target) {
        return MHD_NO;
    }
    int fd = fd_of(conn);
    const ep_waiter waiter = {still_there, &fd};
    head h = {.n = 0};
    MHD_get_connection_values_n(conn, MHD_HEADER_KIND, collect, &h);
    ep_http_req rq = {.method = method,
                      .version = version,
                      .target = p->target,
                      .header = h.header,
                      .n_headers = h.n,
                      .body = p->body,
                      .body_len = p->body_len,
                      .peer_ip = peer_of(conn),
                      .lan = web->lan ? &p->lan : NULL,
                      .visitor = &p->visitor,
                      .waiter = fd >= 0 ? &waiter : NULL};
    if (!p->admitted) {
        return admit(web, conn, &rq, p);
    }
    if (*upload_size > 0) {
        return take(p, upload, upload_size);
    }
    ep_http_reply reply = {0};
    answer(web, &rq, &reply);
    return send_reply(web, conn, &rq, &reply);
}

static void *on_line(void *ctx, const char *uri, struct MHD_Connection *conn)
{
    const ep_web *web = ctx;
    (void)conn;
    pending *p = calloc(1, sizeof *p);
    if (p) {
        p->target = strndup(uri, EP_WEB_URI_MAX + 1);
        if (web->lan) {
            // asked each time: laptops change networks, and it costs some microseconds
            ep_lan_read(&p->lan);
        }
    }
    return p;
}

static void on_done(void *ctx, struct MHD_Connection *conn, void **con_cls,
                    enum MHD_RequestTerminationCode why)
{
    (void)ctx;
    (void)conn;
    (void)why;
    pending *p = *con_cls;
    if (p) {
        free(p->target);
        free(p->body);
        free(p);
    }
    *con_cls = NULL;
}

// the library would decode the target before we can split it: leave every byte as it came
static size_t keep_encoded(void *ctx, struct MHD_Connection *conn, char *text)
{
    (void)ctx;
    (void)conn;
    return strlen(text);
}

// what the library has to say about a broken connection is of no use to a maker
static void on_library_log(void *ctx, const char *fmt, va_list args)
    __attribute__((format(printf, 2, 0)));
static void on_library_log(void *ctx, const char *fmt, va_list args)
{
    (void)ctx;
    char line[256];
    vsnprintf(line, sizeof line, fmt, args);
    line[strcspn(line, "\r\n")] = '\0';
    ep_log(EP_LOG_DEBUG, "http: %s", line);
}

static ep_status listen_on(ep_web *web, int port, ep_err *err)
{
    int fd = -1;
    web->api.port = port;
    ep_status s = ep_socket_listen(&web->api.port, web->lan, &fd, err);
    if (s != EP_OK) {
        return s;
    }
    // clang-format off
    web->daemon = MHD_start_daemon(
        MHD_USE_POLL_INTERNAL_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_ERROR_LOG,
        0, NULL, NULL, on_request, web,
        MHD_OPTION_EXTERNAL_LOGGER, on_library_log, NULL,
        MHD_OPTION_LISTEN_SOCKET, fd,
        MHD_OPTION_URI_LOG_CALLBACK, on_line, web,
        MHD_OPTION_NOTIFY_COMPLETED, on_done, NULL,
        MHD_OPTION_UNESCAPE_CALLBACK, keep_encoded, NULL,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)EP_WEB_CONNECTIONS,
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)EP_WEB_PER_ADDRESS,
        MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)EP_WEB_TIMEOUT_S,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)(64 * 1024),
        MHD_OPTION_THREAD_STACK_SIZE, (size_t)(512 * 1024),
        MHD_OPTION_STRICT_FOR_CLIENT, 1,
        MHD_OPTION_END);
    // clang-format on
    if (!web->daemon) {
        return ep_err_set(err, EP_E_IO, "port", "port: %d: the system gave no threads to answer it",
                          web->api.port);
    }
    return EP_OK;
}

ep_status ep_web_start(const ep_web_config *config, ep_web **web, ep_err *err)
{
    assert(config && config->cases && web);
    if (config->port < 0 || config->port > 65535) {
        return ep_err_set(err, EP_E_ARG, "port", "port: %d is outside 1 to 65535", config->port);
    }
    ep_web *w = calloc(1, sizeof *w);
    ep_events *events = w ? ep_events_create() : NULL;
    if (!events) {
        free(w);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    w->events = events;
    w->lan = config->lan;
    w->assets.dir_fd = -1;
    w->api = (ep_api){
        .app = config->app, .cases = config->cases, .n_cases = config->n_cases, .events = events};
    ep_entry_init(&w->entry, &w->api);
    ep_status s = ep_assets_open(config->assets_dir, &w->assets, err);
    if (s == EP_OK) {
        s = ep_due_start(config->app, config->cases, config->n_cases, events, &w->due, err);
    }
    if (s == EP_OK) {
        s = listen_on(w, config->port, err);
    }
    if (s != EP_OK) {
        ep_web_stop(w);
        return s;
    }
    *web = w;
    return EP_OK;
}

int ep_web_port(const ep_web *web)
{
    return web->api.port;
}

bool ep_web_has_pages(const ep_web *web)
{
    return ep_assets_have_pages(&web->assets);
}

void ep_web_stop(ep_web *web)
{
    if (!web) {
        return;
    }
    // streams first: stopping the library joins their threads
    ep_events_quit(web->events);
    if (web->daemon) {
        MHD_stop_daemon(web->daemon);
    }
    ep_due_stop(web->due);
    ep_assets_close(&web->assets);
    ep_entry_clear(&web->entry);
    ep_events_destroy(web->events);
    free(web);
}
