/// Shared by server.c and send.c alone, the two files that know the HTTP library: the open door.
#pragma once
#include <microhttpd.h>

#include "web/api.h"
#include "web/assets.h"
#include "web/due.h"
#include "web/entry.h"
#include "web/tls.h"
#include "web/web.h"

/// One listening socket with the library behind it: plain http, or https.
typedef struct ep_listener {
    ep_web *web;
    struct MHD_Daemon *daemon;
    bool encrypts;
} ep_listener;

struct ep_web {
    ep_listener plain, https;  ///< https.daemon is NULL without tls
    ep_events *events;
    ep_due_watch *due;
    ep_tls *tls;  ///< NULL: plain http alone
    ep_api api;
    ep_entry entry;
    ep_assets assets;
    bool lan;
};

/// Queue an answer; the reply is cleared.
enum MHD_Result ep_web_send(ep_web *web, struct MHD_Connection *conn, const ep_http_req *rq,
                            ep_http_reply *reply);
