// Numbers as bytes: the layout, every bit back again, and bytes that are too few or too many.
#include <float.h>
#include <stdlib.h>

#include "base/pack.h"
#include "check.h"

typedef struct thing {
    int a, b;
    double x[4];
    unsigned char kind[3];
} thing;

static void walk(ep_pack *p, thing *t)
{
    ep_pack_int(p, &t->a);
    ep_pack_reals(p, t->x, 4);
    ep_pack_int(p, &t->b);
    ep_pack_bytes(p, t->kind, 3);
}

static unsigned char *written(thing t, size_t *len)
{
    unsigned char *bytes = NULL;
    ep_pack p = ep_pack_writer();
    walk(&p, &t);
    assert_true(ep_pack_done(&p));
    assert_int_equal(ep_pack_take(&p, &bytes, len), EP_OK);
    return bytes;
}

static void every_bit_comes_back(void **state)
{
    (void)state;
    const thing t = {-7, 2147483647, {0.1, -0.0, (double)NAN, DBL_TRUE_MIN}, {1, 255, 3}};
    size_t len;
    unsigned char *bytes = written(t, &len);
    assert_int_equal(len, 6 * 8 + 3 + 8);
    // IEEE 754 of 0.1 is 0x3fb999999999999a, lowest byte first
    const unsigned char tenth[] = {0x9a, 0x99, 0x99, 0x99, 0x99, 0x99, 0xb9, 0x3f};
    assert_memory_equal(bytes + 8, tenth, 8);
    thing back = {0};
    ep_pack p = ep_pack_reader(bytes, len);
    walk(&p, &back);
    assert_true(ep_pack_done(&p));
    assert_int_equal(back.a, t.a);
    assert_int_equal(back.b, t.b);
    assert_memory_equal(back.x, t.x, sizeof t.x);
    assert_memory_equal(back.kind, t.kind, 3);
    free(bytes);
}

static void a_changed_byte_is_refused(void **state)
{
    (void)state;
    size_t len;
    unsigned char *bytes = written((thing){1, 2, {3.0, 4.0, 5.0, 6.0}, {0}}, &len);
    for (size_t i = 0; i < len; i++) {
        thing back = {0};
        bytes[i] ^= 0x10;
        ep_pack p = ep_pack_reader(bytes, len);
        walk(&p, &back);
        assert_false(ep_pack_done(&p));
        bytes[i] ^= 0x10;
    }
    free(bytes);
}

static void wrong_lengths_are_seen(void **state)
{
    (void)state;
    size_t len;
    unsigned char *bytes = written((thing){1, 2, {3.0, 4.0, 5.0, 6.0}, {0}}, &len);
    for (size_t n = 0; n < len; n++) {
        thing back = {0};
        ep_pack p = ep_pack_reader(bytes, n);
        walk(&p, &back);
        assert_false(ep_pack_done(&p));
    }
    thing back;
    ep_pack p = ep_pack_reader(bytes, len);
    ep_pack_int(&p, &back.a);
    assert_false(ep_pack_done(&p));  // some are left
    free(bytes);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_bit_comes_back),
        cmocka_unit_test(a_changed_byte_is_refused),
        cmocka_unit_test(wrong_lengths_are_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
