/// Shared by number.c and quantity.c only.
#pragma once
#include <stddef.h>

/// Bytes at the head of terminated `s` that form a decimal number, 0 when there is none.
size_t ep_number_span(const char *s);
