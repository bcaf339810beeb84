/// The routes below /api/: finds the use case, puts its input together, calls it, shapes the reply.
/// Needs: http, target, events, app. Thread use: any.
#pragma once
#include "app/app.h"
#include "web/authority.h"
#include "web/events.h"
#include "web/http.h"
#include "web/target.h"

typedef struct ep_api {
    ep_app *app;
    const ep_use_case *cases;
    int n_cases;
    ep_events *events;              ///< told of every write that succeeded
    int port;                       ///< the door listens on, plain http
    int tls_port;                   ///< and by https, 0 without
    const ep_authority *authority;  ///< who vouches for that, borrowed; NULL without
} ep_api;

/// The case whose method and path fit, or NULL; literal parts win over parameters.
/// @param allow  out: which methods the path answers, "GET, HEAD", "POST", "GET, HEAD, POST"; NULL
///               when no row has this path
const ep_use_case *ep_api_find(const ep_api *api, const char *method, const ep_target *target,
                               const char **allow);

/// The JSON object a use case is called with: path parameters, query, body. Owned by the caller.
json_t *ep_api_input(const ep_use_case *c, const ep_http_req *rq, const ep_target *target,
                     ep_err *err);

/// Answer a request whose first segment is "api". The reply may own memory.
void ep_api_answer(const ep_api *api, const ep_http_req *rq, const ep_target *target,
                   ep_http_reply *reply);

/// The table as an OpenAPI 3.1 document. Owned by the caller; NULL when out of memory.
json_t *ep_openapi_build(const ep_use_case *cases, int n_cases);
