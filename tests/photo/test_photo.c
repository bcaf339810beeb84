// What becomes of a photo: upright, small enough, with nothing of its file but the picture; and
// what is no photo is refused with a reason.
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "jpeg_made.h"
#include "photo/photo_int.h"

static ep_err err;

static ep_photo made(const unsigned char *data, size_t len)
{
    ep_photo p = {.width = 999};
    err = (ep_err){0};
    if (ep_photo_make(data, len, &p, &err) != EP_OK) {
        fail_msg("%s", err.text);
    }
    return p;
}

static ep_photo made_of(jpeg_wish w)
{
    jpeg_file f = jpeg_made(w);
    ep_photo p = made(f.data, f.len);
    free(f.data);
    return p;
}

static void refuses(const unsigned char *data, size_t len, const char *part)
{
    ep_photo p = {.width = 999, .jpeg_len = 999};
    err = (ep_err){0};
    ep_status status = ep_photo_make(data, len, &p, &err);
    if (status != EP_E_ARG || !strstr(err.text, part) || strcmp(err.field, "jpeg") != 0) {
        fail_msg("wanted “%s”, got %s: %s", part, ep_status_name(status), err.text);
    }
    assert_null(p.jpeg);
    assert_null(p.small_jpeg);
    assert_int_equal(p.jpeg_len, 0);
}

static bool holds(const unsigned char *data, size_t len, const char *what)
{
    return memmem(data, len, what, strlen(what)) != NULL;
}

/// Size and the colours in the middle of the four quarters, by an ordinary decoder.
static void look(const unsigned char *data, size_t len, int *width, int *height,
                 unsigned char colour[4][3])
{
    struct jpeg_decompress_struct d;
    struct jpeg_error_mgr mgr;
    d.err = jpeg_std_error(&mgr);
    jpeg_create_decompress(&d);
    jpeg_mem_src(&d, data, len);
    jpeg_read_header(&d, TRUE);
    jpeg_start_decompress(&d);
    *width = (int)d.output_width;
    *height = (int)d.output_height;
    unsigned char *row = malloc((size_t)d.output_width * 3);
    while (d.output_scanline < d.output_height) {
        JSAMPROW at = row;
        unsigned y = d.output_scanline;
        jpeg_read_scanlines(&d, &at, 1);
        for (int q = 0; q < 4; q++) {
            if (y == d.output_height * (q < 2 ? 1u : 3u) / 4) {
                memcpy(colour[q], row + d.output_width * (q % 2 ? 3u : 1u) / 4 * 3, 3);
            }
        }
    }
    free(row);
    assert_int_equal(mgr.num_warnings, 0);
    jpeg_finish_decompress(&d);
    jpeg_destroy_decompress(&d);
}

static char letter(const unsigned char *c)
{
    bool r = c[0] > 128, g = c[1] > 128, b = c[2] > 128;
    return r && g && b     ? 'w'
           : r && !g && !b ? 'r'
           : g && !r && !b ? 'g'
           : b && !r && !g ? 'b'
                           : '?';
}

static void a_photo_is_made_smaller(void **state)
{
    (void)state;
    ep_photo p = made_of((jpeg_wish){.width = 4000, .height = 3000, .orientation = 1});
    unsigned char colour[4][3];
    int w = 0, h = 0;
    assert_int_equal(p.width, 1600);
    assert_int_equal(p.height, 1200);
    look(p.jpeg, p.jpeg_len, &w, &h, colour);
    assert_int_equal(w, 1600);
    assert_int_equal(h, 1200);
    assert_int_equal(letter(colour[0]), 'r');
    look(p.small_jpeg, p.small_len, &w, &h, colour);
    assert_int_equal(w, 320);
    assert_int_equal(h, 240);
    assert_int_equal(letter(colour[3]), 'w');
    ep_photo_clear(&p);
}

static void nothing_of_the_file_stays_but_the_picture(void **state)
{
    (void)state;
    jpeg_file f = jpeg_made((jpeg_wish){.width = 400, .height = 300, .orientation = 6});
    assert_true(holds(f.data, f.len, a_position));
    assert_true(holds(f.data, f.len, "Exif"));
    assert_true(holds(f.data, f.len, "taken at home"));
    ep_photo p = made(f.data, f.len);
    static const char *const gone[] = {a_position, "Exif", "taken at home", "N 48"};
    for (size_t i = 0; i < sizeof gone / sizeof gone[0]; i++) {
        assert_false(holds(p.jpeg, p.jpeg_len, gone[i]));
        assert_false(holds(p.small_jpeg, p.small_len, gone[i]));
    }
    ep_photo_clear(&p);
    free(f.data);
}

// the eight ways a camera is held (EXIF, JEITA CP-3451, tag 274), told by where the quarters go
static void every_photo_stands_upright(void **state)
{
    (void)state;
    static const char *const quarters[] = {"rgbw", "grwb", "wbgr", "bwrg",
                                           "rbgw", "brwg", "wgbr", "gwrb"};
    for (int o = 1; o <= 8; o++) {
        ep_photo p = made_of((jpeg_wish){.width = 400, .height = 200, .orientation = o});
        unsigned char colour[4][3];
        char seen[5] = "";
        int w = 0, h = 0;
        look(p.jpeg, p.jpeg_len, &w, &h, colour);
        for (int q = 0; q < 4; q++) {
            seen[q] = letter(colour[q]);
        }
        assert_int_equal(w, o < 5 ? 400 : 200);
        assert_string_equal(seen, quarters[o - 1]);
        ep_photo_clear(&p);
    }
}

static void other_kinds_of_jpeg(void **state)
{
    (void)state;
    ep_photo p = made_of((jpeg_wish){.width = 2000, .height = 900, .progressive = true});
    assert_int_equal(p.width, 1600);
    assert_int_equal(p.height, 720);
    ep_photo_clear(&p);
    p = made_of((jpeg_wish){.width = 300, .height = 300, .grey = true});
    assert_int_equal(p.width, 300);
    ep_photo_clear(&p);
    p = made_of((jpeg_wish){.width = 9000, .height = 20});
    assert_int_equal(p.width, 1600);
    assert_int_equal(p.height, 4);
    ep_photo_clear(&p);
    p = made_of((jpeg_wish){.width = 1600, .height = 1600, .noisy = true});
    assert_true(p.jpeg_len <= EP_PHOTO_OUT_MAX / 2);
    ep_photo_clear(&p);
}

static void what_is_no_jpeg(void **state)
{
    (void)state;
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n', 0, 0, 0, 13};
    static const unsigned char script[] = "<svg onload='alert(1)'>";
    static const unsigned char head_only[] = {0xFF, 0xD8, 0xFF, 0xE0, 0, 4, 0, 0};
    refuses(png, sizeof png, "no JPEG");
    refuses(script, sizeof script, "no JPEG");
    refuses((const unsigned char *)"", 0, "no JPEG");
    refuses(head_only, sizeof head_only, "jpeg: ");
}

static void what_is_cut_off_or_damaged(void **state)
{
    (void)state;
    jpeg_file f =
        jpeg_made((jpeg_wish){.width = 800, .height = 600, .orientation = 1, .noisy = true});
    refuses(f.data, f.len / 2, "damaged or cut off");
    refuses(f.data, f.len - 40, "damaged or cut off");
    refuses(f.data, 200, "jpeg: ");
    memset(f.data + f.len / 2, 0xFF, 4000);
    refuses(f.data, f.len, "jpeg: ");
    free(f.data);
}

static void what_claims_to_be_huge(void **state)
{
    (void)state;
    jpeg_file f = jpeg_made((jpeg_wish){.width = 64, .height = 64});
    // height and width stand behind the SOF0 marker, its length and the bits of a sample
    unsigned char *sof = memmem(f.data, f.len, "\xFF\xC0", 2);
    assert_non_null(sof);
    memcpy(sof + 5, "\xFF\xDC\xFF\xDC", 4);
    refuses(f.data, f.len, "65500 x 65500 pixels are too many");
    memcpy(sof + 5, "\x1F\x40\x1F\x40", 4);
    refuses(f.data, f.len, "8000 x 8000 pixels are too many");
    memcpy(sof + 5, "\x00\x08\x00\x08", 4);
    refuses(f.data, f.len, "at least 16");
    free(f.data);
    unsigned char *large = calloc(1, EP_PHOTO_IN_MAX + 1);
    refuses(large, EP_PHOTO_IN_MAX + 1, "8388608");
    free(large);
}

// a file of a few kilobytes whose scans ask for the same million pixels a thousand times
static void what_asks_for_the_same_over_and_over(void **state)
{
    (void)state;
    jpeg_file f = jpeg_made((jpeg_wish){.width = 1024, .height = 1024, .progressive = true});
    unsigned char *sos = memmem(f.data, f.len, "\xFF\xDA", 2);
    assert_non_null(sos);
    size_t head = (size_t)(sos - f.data), scan = 2;
    while (scan + head < f.len && !(sos[scan] == 0xFF && sos[scan + 1] == 0xC4)) {
        scan++;
    }
    size_t most = head + scan * 1000 + 2;
    unsigned char *bomb = malloc(most);
    size_t n = head;
    memcpy(bomb, f.data, head);
    for (int i = 0; i < 1000; i++, n += scan) {
        memcpy(bomb + n, sos, scan);
    }
    memcpy(bomb + n, "\xFF\xD9", 2);
    refuses(bomb, n + 2, "jpeg: ");
    free(bomb);
    free(f.data);
}

static void orientation_is_read_with_care(void **state)
{
    (void)state;
    unsigned char block[200];
    size_t n = exif_made(6, block);
    assert_int_equal(ep_exif_orientation(block, n), 6);
    for (size_t i = 0; i < n; i++) {
        int o = ep_exif_orientation(block, i);  // cut off anywhere
        assert_true(o == 1 || o == 6);
    }
    for (size_t i = 6; i < n; i++) {
        unsigned char was = block[i];
        for (int v = 0; v < 256; v += 51) {
            block[i] = (unsigned char)v;
            int o = ep_exif_orientation(block, n);
            assert_true(o >= 1 && o <= 8);
        }
        block[i] = was;
    }
    static const unsigned char little[] = {'E', 'x', 'i', 'f', 0, 0, 'I',  'I',  42, 0,
                                           8,   0,   0,   0,   1, 0, 0x12, 0x01, 3,  0,
                                           1,   0,   0,   0,   8, 0, 0,    0,    0,  0};
    assert_int_equal(ep_exif_orientation(little, sizeof little), 8);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_photo_is_made_smaller),
        cmocka_unit_test(nothing_of_the_file_stays_but_the_picture),
        cmocka_unit_test(every_photo_stands_upright),
        cmocka_unit_test(other_kinds_of_jpeg),
        cmocka_unit_test(what_is_no_jpeg),
        cmocka_unit_test(what_is_cut_off_or_damaged),
        cmocka_unit_test(what_claims_to_be_huge),
        cmocka_unit_test(what_asks_for_the_same_over_and_over),
        cmocka_unit_test(orientation_is_read_with_care),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
