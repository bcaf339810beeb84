/// What a request must be before anything of it is believed. The HTTP library is lenient towards
/// malformed requests; the guard is not. It looks at the head alone, so a refused upload is never
/// read. Rules G1..G9 stand at the head of guard.c.
/// Needs: http, lan. Allocates: nothing. Thread use: any.
#pragma once
#include "web/http.h"

/// @param err  says why when the request is refused
/// @return 0 when the request may go on, else the HTTP status to refuse it with
int ep_guard_check(const ep_http_req *rq, ep_err *err);

/// Bytes of body the head announces; call only after ep_guard_check gave 0.
size_t ep_guard_body_len(const ep_http_req *rq);

/// Is this machine called by a loopback name (localhost, 127.0.0.1, [::1])?
bool ep_guard_is_loopback(const ep_http_req *rq);

/// The name this machine was called by, without the port, as sent; not terminated. NULL when none.
const char *ep_guard_host(const ep_http_req *rq, size_t *len);
