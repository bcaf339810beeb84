// Secrets of devices: made from the system's randomness, kept as hashes only.
//
// Codes, tickets and cookies are random enough (128 bits and more) that a plain fast hash hides
// them. The six digits a person types are not: whoever reads the workshop's file within the two
// minutes they hold could find them by trying all. Such a reader has the whole workshop already.
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "app/devices_int.h"

static void ready(void)
{
    if (sodium_init() < 0) {
        abort();  // no randomness: a code that can be guessed would open the door
    }
}

void ep_secret_make(char *out, size_t bytes)
{
    unsigned char raw[EP_TOKEN_BYTES];
    ready();
    if (bytes > sizeof raw) {
        bytes = sizeof raw;
    }
    randombytes_buf(raw, bytes);
    sodium_bin2hex(out, 2 * bytes + 1, raw, bytes);
    sodium_memzero(raw, sizeof raw);
}

void ep_secret_number(char out[EP_NUMBER_DIGITS + 1])
{
    ready();
    for (int i = 0; i < EP_NUMBER_DIGITS; i++) {
        out[i] = (char)('0' + randombytes_uniform(10));
    }
    out[EP_NUMBER_DIGITS] = '\0';
}

static void absorb(crypto_generichash_state *state, const char *text)
{
    // with its zero byte, so that "ab" + "c" and "a" + "bc" differ
    crypto_generichash_update(state, (const unsigned char *)text, strlen(text) + 1);
}

void ep_secret_hash(const char *kind, const char *owner, const char *secret,
                    char out[EP_HASH_LEN + 1])
{
    unsigned char hash[EP_HASH_LEN / 2];
    crypto_generichash_state state;
    ready();
    crypto_generichash_init(&state, NULL, 0, sizeof hash);
    absorb(&state, kind);
    absorb(&state, owner);
    absorb(&state, secret);
    crypto_generichash_final(&state, hash, sizeof hash);
    sodium_bin2hex(out, EP_HASH_LEN + 1, hash, sizeof hash);
}

bool ep_secret_same(const char a[EP_HASH_LEN + 1], const char b[EP_HASH_LEN + 1])
{
    return sodium_memcmp(a, b, EP_HASH_LEN) == 0;
}
