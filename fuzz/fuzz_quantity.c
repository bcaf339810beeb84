// Any bytes as a quantity, a number, a date: never a crash, never a half-written result, and
// whatever is accepted is finite, survives being written and read again, and passes its own range.
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/text.h"
#include "base/units.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(int holds)
{
    if (!holds) {
        abort();
    }
}

static void try_quantity(const char *text, ep_unit unit)
{
    double si = -12345.0;
    ep_err err = {0};
    ep_status s = ep_quantity_parse(text, ep_unit_dim(unit), unit, "field", &si, &err);
    if (s != EP_OK) {
        must(s == EP_E_PARSE && err.status == s && si == -12345.0);
        must(strncmp(err.text, "field: ", 7) == 0 && ep_text_clean(err.text));
        return;
    }
    must(isfinite(si) && err.status == EP_OK);
    must(ep_range_check(si, si, si, unit, "field", NULL) == EP_OK);
    char shown[96];
    ep_quantity_format(si, unit, 17, shown, sizeof shown);
    double again = -12345.0;
    double in_unit = ep_unit_from_si(unit, si);
    if (!isfinite(in_unit) || fabs(in_unit) > 1e300) {
        return;  // shown in another unit it may leave the range of a double
    }
    if (unit == EP_U_YD_PER_LB && !(in_unit > 0.0)) {
        return;  // a negative or zero linear density has no yield
    }
    must(ep_quantity_parse(shown, ep_unit_dim(unit), unit, "field", &again, NULL) == EP_OK);
    must(fabs(again - si) <=
         1e-14 * (fabs(si) + 300.0 * (ep_unit_dim(unit) == EP_DIM_TEMPERATURE)));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 1) {
        return 0;
    }
    char *text = malloc(size);
    must(text != NULL);
    memcpy(text, data + 1, size - 1);
    text[size - 1] = '\0';
    try_quantity(text, (ep_unit)(data[0] % EP_U_COUNT_));

    double number = -12345.0;
    if (ep_number_parse(text, &number)) {
        must(isfinite(number));
    } else {
        must(number == -12345.0);
    }
    ep_time_ms t = -12345, back = 0;
    if (ep_time_parse(text, "field", &t, NULL) == EP_OK) {
        char shown[25];
        // a zone may carry the first and last day out of the four-digit years
        if (t >= -62167219200000 && t <= 253402300799999) {
            must(ep_time_parse(ep_time_format(t, shown, sizeof shown), "field", &back, NULL) ==
                 EP_OK);
            must(back == t);
        }
    } else {
        must(t == -12345);
    }
    free(text);
    return 0;
}
