/// The target of a request, "/api/recipes/My%20jar?members=64", taken apart and decoded.
/// Needs: base. Thread use: any.
#pragma once
#include "base/status.h"

#define EP_TARGET_SEGMENTS_MAX 12
#define EP_TARGET_PAIRS_MAX    32

typedef struct ep_target {
    char *store;                                  ///< owned: everything below points into it
    const char *segment[EP_TARGET_SEGMENTS_MAX];  ///< decoded, "" only for a trailing '/'
    int n_segments;
    const char *key[EP_TARGET_PAIRS_MAX], *value[EP_TARGET_PAIRS_MAX];  ///< decoded query
    int n_pairs;
} ep_target;

/// @param raw  as sent, starts with '/', borrowed
/// @param out  written only on EP_OK; free with ep_target_clear
/// @return EP_E_PARSE for a broken escape, a control character, text that is no UTF-8, too many
///         parts, or the same query field twice; EP_E_MEMORY
ep_status ep_target_parse(const char *raw, ep_target *out, ep_err *err);
void ep_target_clear(ep_target *t);
