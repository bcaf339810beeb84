/// UUID version 7 (RFC 9562): 48 bits of milliseconds, then random bits from the system.
#pragma once
#include <stdbool.h>

#include "base/clock.h"

#define EP_UUID_LEN 36

typedef struct ep_uuid {
    char text[EP_UUID_LEN + 1];  ///< lower case, with hyphens
} ep_uuid;

/// A new id at time `now`; random part from getrandom(2).
ep_uuid ep_uuid_make(ep_time_ms now);

/// True for 36 lower- or upper-case hex characters with hyphens in the four places.
bool ep_uuid_valid(const char *text);

/// A short code for people, of `n` characters of an alphabet without look-alikes
/// (23456789ABCDEFGHJKMNPQRSTVWXYZ), random. buf holds n + 1 bytes.
void ep_short_code(char *buf, int n);
