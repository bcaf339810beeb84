/// What a device may fetch before it trusts the workshop: one plain page that says what to do and
/// what it means, its style, and the authority's certificate. With https on, this is all that
/// plain http gives anybody but the computer itself; no word of the workshop is in it.
/// Needs: api, authority, guard. Thread use: any.
#pragma once
#include "web/api.h"

/// May this request have nothing but the page? (Plain http, while the door speaks https, from
/// anybody but the computer itself: rule E8.)
bool ep_trust_is_all(const ep_api *api, const ep_http_req *rq);

/// Does this target belong to the page ("/trust", "/trust.css", "/evenpool-authority.crt")?
bool ep_trust_is_part(const ep_api *api, const ep_target *target);

/// Answer a GET or HEAD: the certificate, the style, or for everything else the page. The reply may
/// own memory.
void ep_trust_answer(const ep_api *api, const ep_http_req *rq, const ep_target *target,
                     ep_http_reply *reply);
