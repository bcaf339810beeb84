/// What only the door can add to an answer: who is asking, at which addresses a phone finds the
/// workshop, the picture that holds one, the cookie of a device that was let in.
/// Needs: api, entry, libqrcodegen. Thread use: any.
#pragma once
#include "app/devices.h"
#include "web/api.h"

/// Complete the answer of a case; cases that need nothing are left alone.
/// @param cookie  out: value of a Set-Cookie header, or ""; cap >= 256
void ep_pair_complete(const ep_api *api, const ep_use_case *c, const ep_http_req *rq, json_t *out,
                      char *cookie, size_t cap);

/// Did this call change something others want to see? (A device that asks again and again whether
/// it was let in does not.)
bool ep_pair_is_news(const ep_use_case *c, const json_t *out);

/// Text as a QR code (ISO/IEC 18004, error correction M, four modules of margin) in an SVG picture.
/// New string reference; NULL when the text is too long (213 bytes or more) or memory is out.
json_t *ep_pair_qr(const char *text);
