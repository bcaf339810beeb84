/// One UTF-8 character at a time (RFC 3629: shortest form only, no surrogates, up to U+10FFFF).
/// Needs: nothing. Allocates: nothing.
#pragma once
#include <stdint.h>

/// Length in bytes of the character at the head of terminated `s`, its code point in *code.
/// 0 when the bytes are not UTF-8 or `s` is at its end.
int ep_utf8_next(const char *s, uint32_t *code);
