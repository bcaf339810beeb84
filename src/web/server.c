// The open door; with request.c and send.c the only files that know the HTTP library. They use the
// part of libmicrohttpd that has held up: a thread per connection that may block, poll, no
// suspended connections, no authentication, no form parser, no sockets upgraded.
// docs/decisions/004-http-door.md says why; 009-https.md why https has a port of its own.
#include <arpa/inet.h>
#include <assert.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/log.h"
#include "web/server_int.h"
#include "web/socket.h"

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

// a connection of the https port is shown the certificate that is right by now
static void begin_tls(ep_listener *at, struct MHD_Connection *conn, ep_connection *c)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(conn, MHD_CONNECTION_INFO_GNUTLS_SESSION);
    if (info) {
        ep_lan lan;
        ep_lan_read(&lan);
        c->shown = ep_tls_show(at->web->tls, info->tls_session, &lan);
        ep_wire_under(&c->wire, info->tls_session);
    }
}

// Whoever connects from the network can fill only the places that are not kept for the computer:
// its owner is never locked out of the own workshop. Told apart before a thread is begun.
static enum MHD_Result may_connect(void *ctx, const struct sockaddr *addr, socklen_t len)
{
    const ep_listener *at = ctx;
    struct sockaddr_in in = {0};
    if (addr->sa_family == AF_INET && len >= sizeof in) {
        memcpy(&in, addr, sizeof in);
    }
    bool kept = at->devices >= EP_WEB_CONNECTIONS - EP_WEB_KEPT;
    return !kept || ep_lan_is_self(ntohl(in.sin_addr.s_addr)) ? MHD_YES : MHD_NO;
}

// also called when a connection is over, before its socket is closed
static void on_connection(void *ctx, struct MHD_Connection *conn, void **kept,
                          enum MHD_ConnectionNotificationCode what)
{
    ep_listener *at = ctx;
    ep_web *web = at->web;
    ep_connection *c = *kept;
    if (what == MHD_CONNECTION_NOTIFY_STARTED) {
        const union MHD_ConnectionInfo *info =
            MHD_get_connection_info(conn, MHD_CONNECTION_INFO_CONNECTION_FD);
        c = info ? calloc(1, sizeof *c) : NULL;
        *kept = c;  // without memory it is served all the same, only not watched
        if (c) {
            c->device = !ep_lan_is_self(ep_web_peer(conn));
            at->devices += c->device;
            c->place = ep_watch_add(web->watch, info->connect_fd, web->limits.head_s);
            c->wire = (ep_wire){
                .fd = info->connect_fd, .plain_port = web->api.port, .tls_port = web->api.tls_port};
            if (at->encrypts) {
                begin_tls(at, conn, c);
            }
        }
    } else if (c) {
        ep_watch_remove(web->watch, c->place);
        at->devices -= c->device;
        if (c->shown) {
            ep_tls_let_go(web->tls, c->shown);
        }
        free(c);
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
        0, may_connect, at, ep_web_on_request, at,
        MHD_OPTION_EXTERNAL_LOGGER, on_library_log, NULL,
        MHD_OPTION_LISTEN_SOCKET, fd,
        MHD_OPTION_URI_LOG_CALLBACK, ep_web_on_line, at,
        MHD_OPTION_NOTIFY_COMPLETED, ep_web_on_done, at,
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

static ep_web_limits limits_of(const ep_web_limits *given)
{
    return (ep_web_limits){.head_s = given->head_s > 0 ? given->head_s : EP_WEB_HEAD_S,
                           .body_s = given->body_s > 0 ? given->body_s : EP_WEB_BODY_S,
                           .send_s = given->send_s > 0 ? given->send_s : EP_WEB_SEND_S};
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
    w->limits = limits_of(&config->limits);
    w->assets.dir_fd = -1;
    w->api = (ep_api){
        .app = config->app, .cases = config->cases, .n_cases = config->n_cases, .events = events};
    ep_entry_init(&w->entry, &w->api);
    s = ep_assets_open(config->assets_dir, &w->assets, err);
    if (s == EP_OK) {
        s = ep_due_start(config->app, config->cases, config->n_cases, events, &w->due, err);
    }
    if (s == EP_OK) {
        s = ep_watch_start(2 * EP_WEB_CONNECTIONS, &w->watch, err);
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
    ep_watch_stop(web->watch);
    ep_tls_close(web->tls);
    ep_due_stop(web->due);
    ep_assets_close(&web->assets);
    ep_entry_clear(&web->entry);
    ep_events_destroy(web->events);
    free(web);
}
