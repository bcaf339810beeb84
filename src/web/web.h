/// The HTTP door: the table of use cases as JSON over HTTP, plus the pages, on the loopback address
/// or, for devices that were let in, on the machine's networks too.
/// Everything the HTTP library sees stays in server.c, request.c and send.c; the rest of the room
/// works on plain structs and is tested without a socket. Needs: base, app. Threads: one per
/// connection, started and joined here.
#pragma once
#include "app/app.h"
#include "web/tls.h"

/// Limits of the door, each held by a test in tests/web.
#define EP_WEB_URI_MAX      8192u            ///< bytes of the request target
#define EP_WEB_BODY_MAX     (1024u * 1024u)  ///< bytes of a request body
#define EP_WEB_DEPTH_MAX    32               ///< lists and objects within each other in a body
#define EP_WEB_HEADERS_MAX  64               ///< header lines of one request
#define EP_WEB_CONNECTIONS  64               ///< open connections in all
#define EP_WEB_KEPT         16               ///< of these: for the computer itself alone
#define EP_WEB_PER_ADDRESS  24               ///< open connections from one address
#define EP_WEB_STREAMS_MAX  16               ///< open event streams
#define EP_WEB_STREAMS_KEPT 4                ///< of these: for the computer itself alone
#define EP_WEB_TIMEOUT_S    30               ///< silence before a connection is dropped
#define EP_WEB_HEAD_S       40   ///< handshake and head of a request, however busy the client is
#define EP_WEB_BODY_S       120  ///< from the end of the head to the end of the body
#define EP_WEB_SEND_S       300  ///< an answer on its way; event streams may stay
#define EP_WEB_HEARTBEAT_S  15   ///< event streams: silence before a heartbeat
#define EP_WEB_DEFAULT_PORT 8377

typedef struct ep_web ep_web;

/// Seconds, 0 = EP_WEB_HEAD_S, EP_WEB_BODY_S, EP_WEB_SEND_S: a test does not wait that long.
typedef struct ep_web_limits {
    int head_s, body_s, send_s;
} ep_web_limits;

typedef struct ep_web_config {
    ep_app *app;   ///< borrowed, outlives the door
    int port;      ///< 1..65535, or 0 for any free one
    bool lan;      ///< listen on every IPv4 address and let paired devices in
    bool tls;      ///< devices come in by https alone; needs lan
    int tls_port;  ///< 1..65535, 0 = the one after `port`, any free one when that is 0
    const char *authority_path;  ///< with tls: file of the certificate authority, made when missing
    ep_clock tls_clock;          ///< for certificates; zero = the system's
    const char *assets_dir;  ///< pages read from this folder instead of the embedded ones, or NULL
    const ep_use_case *cases;  ///< the table, borrowed
    int n_cases;
    ep_web_limits limits;
} ep_web_config;

/// Do the options go together? Looks at nothing but the record; ep_web_start asks too.
ep_status ep_web_check(const ep_web_config *config, ep_err *err);

/// Listen and answer until ep_web_stop.
/// @param web  out, owned: ep_web_stop frees it
/// @return EP_E_IO when a port is taken, the folder of pages cannot be read, or the authority's
/// file
///         is not what it should be; EP_E_USAGE for tls without lan; EP_E_MEMORY
ep_status ep_web_start(const ep_web_config *config, ep_web **web, ep_err *err);

/// The port really used.
int ep_web_port(const ep_web *web);

/// The port of https, 0 without tls; and who vouches there, NULL without tls.
int ep_web_tls_port(const ep_web *web);
const ep_tls *ep_web_tls(const ep_web *web);

/// Were the pages built into this program, or given as a folder?
bool ep_web_has_pages(const ep_web *web);

/// End the event streams, finish the requests being answered, close, free. NULL is allowed.
/// Never call it from a thread that answers a request.
void ep_web_stop(ep_web *web);
