/// The HTTP door: the table of use cases as JSON over HTTP, plus the pages, on the loopback address
/// or, for devices that were let in, on the machine's networks too.
/// Everything the HTTP library sees stays in server.c; the rest of the room works on plain structs
/// and is tested without a socket.
/// Needs: base, app. Threads: one per connection, started and joined here.
#pragma once
#include "app/app.h"

/// Limits of the door, each held by a test in tests/web.
#define EP_WEB_URI_MAX      8192u            ///< bytes of the request target
#define EP_WEB_BODY_MAX     (1024u * 1024u)  ///< bytes of a request body
#define EP_WEB_HEADERS_MAX  64               ///< header lines of one request
#define EP_WEB_CONNECTIONS  64               ///< open connections in all
#define EP_WEB_PER_ADDRESS  24               ///< open connections from one address
#define EP_WEB_STREAMS_MAX  16               ///< open event streams
#define EP_WEB_TIMEOUT_S    30               ///< silence before a connection is dropped
#define EP_WEB_HEARTBEAT_S  15               ///< event streams: silence before a heartbeat
#define EP_WEB_DEFAULT_PORT 8377

typedef struct ep_web ep_web;

typedef struct ep_web_config {
    ep_app *app;             ///< borrowed, outlives the door
    int port;                ///< 1..65535, or 0 for any free one
    bool lan;                ///< listen on every IPv4 address and let paired devices in
    const char *assets_dir;  ///< pages read from this folder instead of the embedded ones, or NULL
    const ep_use_case *cases;  ///< the table, borrowed
    int n_cases;
} ep_web_config;

/// Listen and answer until ep_web_stop.
/// @param web  out, owned: ep_web_stop frees it
/// @return EP_E_IO when the port is taken or the folder of pages cannot be read; EP_E_MEMORY
ep_status ep_web_start(const ep_web_config *config, ep_web **web, ep_err *err);

/// The port really used.
int ep_web_port(const ep_web *web);

/// Were the pages built into this program, or given as a folder?
bool ep_web_has_pages(const ep_web *web);

/// End the event streams, finish the requests being answered, close, free. NULL is allowed.
/// Never call it from a thread that answers a request.
void ep_web_stop(ep_web *web);
