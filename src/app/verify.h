/// The verify door: a plain conduction-and-melting case as JSON text, answered by the engine's
/// field alone. No database. Form of the case and the answer: docs/verify.md. Needs: base, burn,
/// jansson.
#pragma once
#include "base/status.h"

/// @param text  JSON of one case, borrowed
/// @param out   JSON of the answer, owned by the caller (free); NULL on error
/// @return EP_E_PARSE when it is no JSON, EP_E_ARG naming the field ("wax.radius_m"), value and
/// range
ep_status ep_verify_run(const char *text, char **out, ep_err *err);
