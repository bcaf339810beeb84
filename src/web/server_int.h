/// Shared by server.c, request.c and send.c alone, the files that know the HTTP library: the open
/// door.
#pragma once
#include <microhttpd.h>
#include <stdatomic.h>

#include "web/api.h"
#include "web/assets.h"
#include "web/due.h"
#include "web/entry.h"
#include "web/tls.h"
#include "web/watch.h"
#include "web/web.h"
#include "web/wire.h"

/// One listening socket with the library behind it: plain http, or https.
typedef struct ep_listener {
    ep_web *web;
    struct MHD_Daemon *daemon;
    bool encrypts;
    atomic_int devices;  ///< open connections that are not of the computer itself
} ep_listener;

/// One connection, kept with it by the library from its start to its end.
typedef struct ep_connection {
    int place;            ///< in the watch
    bool device;          ///< counted as one of a device
    ep_wire wire;         ///< https alone
    ep_tls_shown *shown;  ///< https alone
} ep_connection;

struct ep_web {
    ep_listener plain, https;  ///< https.daemon is NULL without tls
    ep_events *events;
    ep_due_watch *due;
    ep_watch *watch;
    ep_web_limits limits;
    ep_tls *tls;  ///< NULL: plain http alone
    ep_api api;
    ep_entry entry;
    ep_assets assets;
    bool lan;
};

/// Queue an answer; the reply is cleared.
enum MHD_Result ep_web_send(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
                            ep_http_reply *reply);

/// Who is at the other end, host byte order; 0 when it is no IPv4 address: near nobody.
uint32_t ep_web_peer(struct MHD_Connection *conn);

/// Called by the library, with the listener as ctx: the line of a request was read; its head, each
/// piece of its body and its end; it is over.
void *ep_web_on_line(void *ctx, const char *uri, struct MHD_Connection *conn);
enum MHD_Result ep_web_on_request(void *ctx, struct MHD_Connection *conn, const char *url,
                                  const char *method, const char *version, const char *upload,
                                  size_t *upload_size, void **con_cls);
void ep_web_on_done(void *ctx, struct MHD_Connection *conn, void **con_cls,
                    enum MHD_RequestTerminationCode why);
