// One request as the HTTP library hands it over: its line, its head, its body, its end.
#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

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
    bool post = strcmp(rq->method, "POST") == 0;
    if (!post && (ep_trust_is_all(&web->api, rq) || ep_trust_is_part(&web->api, &target))) {
        ep_trust_answer(&web->api, rq, &target, reply);
    } else if (strcmp(target.segment[0], "api") == 0) {
        ep_api_answer(&web->api, rq, &target, reply);
    } else if (post) {
        ep_err_set(&err, EP_E_USAGE, "", "POST is not answered here, only GET, HEAD");
        ep_http_reply_error(reply, 405, &err);
        reply->allow = "GET, HEAD";
    } else {
        ep_assets_answer(&web->assets, rq, &target, reply);
    }
    ep_target_clear(&target);
}

// what the connection does next must be done in so many seconds, 0 = as long as it likes
static void step(const ep_web *web, struct MHD_Connection *conn, int seconds)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(conn, MHD_CONNECTION_INFO_SOCKET_CONTEXT);
    const ep_connection *c = info ? info->socket_context : NULL;
    if (c) {
        ep_watch_set(web->watch, c->place, seconds);
    }
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
    step(web, conn, web->limits.send_s);
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

uint32_t ep_web_peer(struct MHD_Connection *conn)
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
    step(web, conn, web->limits.body_s);
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

enum MHD_Result ep_web_on_request(void *ctx, struct MHD_Connection *conn, const char *url,
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
                      .peer_ip = ep_web_peer(conn),
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
    step(web, conn, 0);  // it waits for us now
    answer(web, &rq, &reply);
    step(web, conn, reply.stream ? 0 : web->limits.send_s);
    return ep_web_send(web, conn, &rq, &reply);
}

void *ep_web_on_line(void *ctx, const char *uri, struct MHD_Connection *conn)
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

void ep_web_on_done(void *ctx, struct MHD_Connection *conn, void **con_cls,
                    enum MHD_RequestTerminationCode why)
{
    const ep_listener *at = ctx;
    (void)why;
    pending *p = *con_cls;
    if (p) {
        free(p->target);
        free(p->body);
        free(p);
    }
    *con_cls = NULL;
    step(at->web, conn, at->web->limits.head_s);
}
