// The open door; beside send.c the only file that knows the HTTP library. It uses the part of
// libmicrohttpd that has held up: a thread per connection that may block, poll, no suspended
// connections, no authentication, no form parser, no sockets upgraded.
// docs/decisions/004-http-door.md says why; 009-https.md why https has a port of its own.
#include <arpa/inet.h>
#include <assert.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "base/log.h"
#include "web/guard.h"
#include "web/server_int.h"
#include "web/socket.h"
#include "web/trust.h"

#define HEADERS_SEEN_MAX (EP_WEB_HEADERS_MAX + 1)

// one request while it arrives; made when its line was read, freed when it is over
typedef struct pending {
    char *target;
    bool admitted;  // guard and entry let it pass
    ep_visitor visitor;
    ep_lan lan;  // the machine's networks when it came
    char *body;
    size_t body_len, body_cap;
} pending;

static void answer(ep_web *web, const ep_http_req *rq, ep_http_reply *reply)
{
    ep_err err = {0};
    ep_target target;
    ep_status s = ep_target_parse(rq->target, &target, &err);
    if (s != EP_OK) {
        ep_http_reply_error(reply, ep_http_status_of(s), &err);
        return;
    }
    if (ep_trust_is_all(&web->api, rq) || ep_trust_is_part(&web->api, &target)) {
        ep_trust_answer(&web->api, rq, &target, reply);
    } else if (strcmp(target.segment[0], "api") == 0) {
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
    return ep_web_send(web, conn, rq, &reply);
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
    const ep_listener *at = ctx;
    ep_web *web = at->web;
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
                      .encrypted = at->encrypts,
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
    return ep_web_send(web, conn, &rq, &reply);
}

static void *on_line(void *ctx, const char *uri, struct MHD_Connection *conn)
{
    const ep_listener *at = ctx;
    const ep_web *web = at->web;
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

// a new connection of the https port is shown the certificate that is right by now
static void on_connection(void *ctx, struct MHD_Connection *conn, void **kept,
                          enum MHD_ConnectionNotificationCode what)
{
    const ep_listener *at = ctx;
    if (!at->encrypts) {
        return;
    }
    if (what == MHD_CONNECTION_NOTIFY_STARTED) {
        const union MHD_ConnectionInfo *info =
            MHD_get_connection_info(conn, MHD_CONNECTION_INFO_GNUTLS_SESSION);
        ep_lan lan;
        ep_lan_read(&lan);
        *kept = info ? ep_tls_show(at->web->tls, info->tls_session, &lan) : NULL;
    } else if (*kept) {
        ep_tls_let_go(at->web->tls, *kept);
        *kept = NULL;
    }
}

// the library takes the socket over
static ep_status answer_on(ep_listener *at, int fd, ep_err *err)
{
    ep_web *web = at->web;
    const ep_leaf *leaf = at->encrypts ? ep_tls_leaf(web->tls) : NULL;
    // clang-format off
    struct MHD_OptionItem https[] = {
        {MHD_OPTION_HTTPS_MEM_KEY, 0, leaf ? leaf->key_pem : NULL},
        {MHD_OPTION_HTTPS_MEM_CERT, 0, leaf ? leaf->cert_pem : NULL},
        {MHD_OPTION_HTTPS_PRIORITIES, 0, (char[]){EP_TLS_PRIORITIES}},
        {MHD_OPTION_END, 0, NULL},
    };
    const struct MHD_OptionItem none[] = {{MHD_OPTION_END, 0, NULL}};
    at->daemon = MHD_start_daemon(
        MHD_USE_POLL_INTERNAL_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_ERROR_LOG |
            (leaf ? MHD_USE_TLS : 0u),
        0, NULL, NULL, on_request, at,
        MHD_OPTION_EXTERNAL_LOGGER, on_library_log, NULL,
        MHD_OPTION_LISTEN_SOCKET, fd,
        MHD_OPTION_URI_LOG_CALLBACK, on_line, at,
        MHD_OPTION_NOTIFY_COMPLETED, on_done, NULL,
        MHD_OPTION_NOTIFY_CONNECTION, on_connection, at,
        MHD_OPTION_UNESCAPE_CALLBACK, keep_encoded, NULL,
        MHD_OPTION_CONNECTION_LIMIT, (unsigned)EP_WEB_CONNECTIONS,
        MHD_OPTION_PER_IP_CONNECTION_LIMIT, (unsigned)EP_WEB_PER_ADDRESS,
        MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)EP_WEB_TIMEOUT_S,
        MHD_OPTION_CONNECTION_MEMORY_LIMIT, (size_t)(64 * 1024),
        MHD_OPTION_THREAD_STACK_SIZE, (size_t)(512 * 1024),
        MHD_OPTION_STRICT_FOR_CLIENT, 1,
        MHD_OPTION_ARRAY, leaf ? https : none,
        MHD_OPTION_END);
    // clang-format on
    if (!at->daemon) {
        return ep_err_set(err, EP_E_IO, "port", "port: %d: the system gave no threads to answer it",
                          at->encrypts ? web->api.tls_port : web->api.port);
    }
    return EP_OK;
}

static ep_status open_tls(ep_web *w, const ep_web_config *config, ep_err *err)
{
    ep_lan lan;
    ep_lan_read(&lan);
    const ep_clock clock = config->tls_clock.now ? config->tls_clock : ep_clock_system();
    if (MHD_is_feature_supported(MHD_FEATURE_TLS) != MHD_YES) {
        return ep_err_set(err, EP_E_IO, "tls", "tls: the HTTP library of this system has no https");
    }
    ep_status s = ep_tls_open(config->authority_path, &clock, &lan, &w->tls, err);
    if (s == EP_OK) {
        w->api.authority = ep_tls_authority(w->tls);
    }
    return s;
}

// both ports are had before either is answered: what an answer says of the other is then so
static ep_status listen_all(ep_web *w, const ep_web_config *config, ep_err *err)
{
    int plain = -1;
    int https = -1;
    ep_status s = config->tls ? open_tls(w, config, err) : EP_OK;
    w->api.port = config->port;
    if (s == EP_OK) {
        s = ep_socket_listen("port", &w->api.port, w->lan, &plain, err);
    }
    if (s == EP_OK && w->tls) {
        bool after = config->tls_port == 0 && config->port > 0;
        w->api.tls_port = after ? config->port + 1 : config->tls_port;
        s = ep_socket_listen("tls_port", &w->api.tls_port, w->lan, &https, err);
        s = s == EP_OK ? answer_on(&w->https, https, err) : s;
        if (s != EP_OK) {
            close(plain);
            return s;
        }
    }
    return s == EP_OK ? answer_on(&w->plain, plain, err) : s;
}

ep_status ep_web_check(const ep_web_config *config, ep_err *err)
{
    if (config->port < 0 || config->port > 65535) {
        return ep_err_set(err, EP_E_ARG, "port", "port: %d is outside 1 to 65535", config->port);
    }
    if (!config->tls) {
        return config->tls_port == 0
                   ? EP_OK
                   : ep_err_set(err, EP_E_USAGE, "tls_port", "tls_port: is of use with tls only");
    }
    if (!config->lan) {
        return ep_err_set(err, EP_E_USAGE, "tls",
                          "tls: is of use with lan only: the computer itself needs no encryption "
                          "on the way to itself; add --lan");
    }
    if (!config->authority_path) {
        return ep_err_set(err, EP_E_USAGE, "tls",
                          "tls: needs a workshop in a file, to keep the certificate beside it");
    }
    if (config->tls_port < 0 || config->tls_port > 65535 ||
        (config->tls_port == 0 && config->port == 65535)) {
        return ep_err_set(err, EP_E_ARG, "tls_port", "tls_port: %d is outside 1 to 65535",
                          config->tls_port ? config->tls_port : config->port + 1);
    }
    return EP_OK;
}

ep_status ep_web_start(const ep_web_config *config, ep_web **web, ep_err *err)
{
    assert(config && config->cases && web);
    ep_status s = ep_web_check(config, err);
    if (s != EP_OK) {
        return s;
    }
    ep_web *w = calloc(1, sizeof *w);
    ep_events *events = w ? ep_events_create() : NULL;
    if (!events) {
        free(w);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    w->events = events;
    w->lan = config->lan;
    w->plain = (ep_listener){.web = w};
    w->https = (ep_listener){.web = w, .encrypts = true};
    w->assets.dir_fd = -1;
    w->api = (ep_api){
        .app = config->app, .cases = config->cases, .n_cases = config->n_cases, .events = events};
    ep_entry_init(&w->entry, &w->api);
    s = ep_assets_open(config->assets_dir, &w->assets, err);
    if (s == EP_OK) {
        s = ep_due_start(config->app, config->cases, config->n_cases, events, &w->due, err);
    }
    if (s == EP_OK) {
        s = listen_all(w, config, err);
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

int ep_web_tls_port(const ep_web *web)
{
    return web->api.tls_port;
}

const ep_tls *ep_web_tls(const ep_web *web)
{
    return web->tls;
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
    if (web->plain.daemon) {
        MHD_stop_daemon(web->plain.daemon);
    }
    if (web->https.daemon) {
        MHD_stop_daemon(web->https.daemon);
    }
    ep_tls_close(web->tls);
    ep_due_stop(web->due);
    ep_assets_close(&web->assets);
    ep_entry_clear(&web->entry);
    ep_events_destroy(web->events);
    free(web);
}
