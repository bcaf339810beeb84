/// Who asks, and whether they may ask that. Stands behind the guard and before the body: what is
/// refused here was never read. Rules E1..E9 stand at the head of entry.c.
/// Needs: http, api, lan, rate, app/devices. Thread use: any.
#pragma once
#include "app/devices.h"
#include "web/api.h"
#include "web/rate.h"

#define EP_ENTRY_BODY_MAX 4096u  ///< bytes of a stranger's body

typedef struct ep_entry {
    const ep_api *api;  ///< borrowed; its ports and authority say how devices come
    ep_rate asking;     ///< POST /api/pair
    ep_rate waiting;    ///< POST /api/pair/wait
} ep_entry;

void ep_entry_init(ep_entry *e, const ep_api *api);
void ep_entry_clear(ep_entry *e);

/// @param who         out: who asks, also when refused
/// @param retry_s     out: seconds to wait when the answer is 429, else 0
/// @return 0 when the request may go on, else the HTTP status to refuse it with
int ep_entry_check(ep_entry *e, const ep_http_req *rq, double now_s, ep_visitor *who, int *retry_s,
                   ep_err *err);

/// The cookie of a device that asks here; false when it sent none, or by https one that was not
/// given out by https. cap > EP_TOKEN_LEN.
bool ep_entry_cookie(const ep_api *api, const ep_http_req *rq, char *buf, size_t cap);

/// Value of the Set-Cookie header that gives a device its cookie on the way it came. cap >= 256.
/// Returns buf.
const char *ep_entry_set_cookie(const ep_api *api, const ep_http_req *rq, const char *token,
                                char *buf, size_t cap);
