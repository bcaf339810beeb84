/// Shared by the files about devices: secrets, and a device as it stands at an hour.
#pragma once
#include "app/app_int.h"
#include "app/devices.h"

enum {
    EP_CODE_BYTES = 16,    ///< of an invitation: 128 bits
    EP_TICKET_BYTES = 16,  ///< of a device that waits
    EP_TOKEN_BYTES = 32,   ///< of a cookie
    EP_HASH_LEN = 64,      ///< hex digits of a hash
    EP_NUMBER_DIGITS = 6,  ///< of the number typed at the computer
    EP_NUMBER_TRIES = 3,   ///< wrong numbers before a request is void
};

/// `bytes` random bytes as lower-case hex; out holds 2 * bytes + 1.
void ep_secret_make(char *out, size_t bytes);
/// A number of EP_NUMBER_DIGITS digits.
void ep_secret_number(char out[EP_NUMBER_DIGITS + 1]);
/// BLAKE2b (RFC 7693) of 32 bytes over kind, owner and secret, as hex. `owner` may be "".
void ep_secret_hash(const char *kind, const char *owner, const char *secret,
                    char out[EP_HASH_LEN + 1]);
/// Equal without telling by its time how far.
bool ep_secret_same(const char a[EP_HASH_LEN + 1], const char b[EP_HASH_LEN + 1]);

typedef enum ep_device_state {
    EP_DEVICE_PENDING,  ///< waits for its number to be typed at the computer
    EP_DEVICE_PAIRED,
    EP_DEVICE_REFUSED,  ///< the number was wrong too often
    EP_DEVICE_LAPSED,  ///< nobody confirmed in time, it never came for its cookie, or was away long
    EP_DEVICE_REVOKED,
} ep_device_state;

/// Of a row of the view device_now.
ep_device_state ep_device_state_at(const json_t *row, ep_time_ms now);
