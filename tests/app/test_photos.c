// Photos: kept with the minute and the reading, made anew, sent twice but kept once, taken out by a
// row that stays; what is no photo leaves nothing behind.
#include <sodium.h>
#include <unistd.h>

#include "../photo/jpeg_made.h"
#include "workshop.h"

static workshop *w;
static char code[16], other[16], session[40];

static int setup(void **state)
{
    (void)state;
    w = workshop_open("2026-11-25T12:00", false);
    describe(w);
    pour_some(w, "2", 2);
    copy_text(code, sizeof code, w->last, "candles.0.code");
    copy_text(other, sizeof other, w->last, "candles.1.code");
    pass_hours(w, 24 * 15);
    call(w, "session_light", "{'candles': ['%s']}", code);
    copy_text(session, sizeof session, w->last, "id");
    pass_hours(w, 1);
    return 0;
}

static int teardown(void **state)
{
    (void)state;
    workshop_close(w);
    return 0;
}

static json_t *base64_of(const unsigned char *data, size_t len)
{
    size_t cap = sodium_base64_ENCODED_LEN(len, sodium_base64_VARIANT_ORIGINAL);
    char *text = malloc(cap);
    sodium_bin2base64(text, cap, data, len, sodium_base64_VARIANT_ORIGINAL);
    json_t *value = json_string(text);
    free(text);
    return value;
}

/// Fields of photo_add with a picture of this size in them.
static json_t *with_photo(jpeg_wish wish, const char *fmt, ...)
    __attribute__((format(printf, 2, 3)));
static json_t *with_photo(jpeg_wish wish, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    json_t *in = json_of(fmt, args);
    va_end(args);
    jpeg_file f = jpeg_made(wish);
    json_object_set_new(in, "jpeg", base64_of(f.data, f.len));
    free(f.data);
    return in;
}

static const jpeg_wish phone = {.width = 800, .height = 600, .orientation = 6};

static json_t *add(json_t *in)
{
    if (try_json(w, "photo_add", in) != EP_OK) {
        fail_msg("%s", w->err.text);
    }
    return w->last;
}

static int photos(void)
{
    return (int)json_array_size(at(call(w, "photo_list", "{'session': '%s'}", session), "photos"));
}

static int64_t rows(ep_query q)
{
    json_t *list = NULL;
    ep_err err = {0};
    ep_bind bind[] = {ep_bind_null("session"), ep_bind_null("candle"), ep_bind_null("recipe"),
                      ep_bind_int("limit", 500)};
    assert_int_equal(ep_store_json(w->app->store, q, bind, 4, &list, &err), EP_OK);
    int64_t n = (int64_t)json_array_size(list);
    json_decref(list);
    return n;
}

static void a_photo_has_its_minute(void **state)
{
    (void)state;
    const json_t *o = add(with_photo(phone, "{'candle': '%s', 'alt': 'pool half way'}", code));
    char id[40];
    copy_text(id, sizeof id, o, "id");
    assert_near(real_at(o, "minute"), 60, 1e-6);
    assert_string_equal(text_at(o, "code"), code);
    assert_string_equal(text_at(o, "session_id"), session);
    assert_string_equal(text_at(o, "alt"), "pool half way");
    // held upright, so it stands upright
    assert_int_equal(real_at(o, "width_px"), 600);
    assert_int_equal(real_at(o, "height_px"), 800);
    assert_null(at(o, "base64"));
    o = call(w, "photo_image", "{'id': '%s'}", id);
    const char *whole = text_at(o, "base64");
    assert_int_equal(strncmp(whole, "/9j/", 4), 0);  // FF D8 FF in base64
    unsigned char *bytes = malloc(strlen(whole));
    size_t n = 0;
    sodium_base642bin(bytes, strlen(whole), whole, strlen(whole), NULL, &n, NULL,
                      sodium_base64_VARIANT_ORIGINAL);
    assert_null(memmem(bytes, n, a_position, strlen(a_position)));
    assert_null(memmem(bytes, n, "Exif", 4));
    free(bytes);
    size_t whole_len = strlen(whole);
    o = call(w, "photo_image", "{'id': '%s', 'size': 'small'}", id);
    assert_true(strlen(text_at(o, "base64")) < whole_len);
}

static void a_photo_of_a_reading(void **state)
{
    (void)state;
    char reading[40];
    call(w, "reading_add", "{'candle': '%s', 'kind': 'pool_wide', 'value': '40 mm', 'minute': 55}",
         code);
    copy_text(reading, sizeof reading, w->last, "id");
    const json_t *o = add(with_photo(phone, "{'reading': '%s'}", reading));
    assert_string_equal(text_at(o, "reading_id"), reading);
    assert_near(real_at(o, "minute"), 55, 1e-6);
    // a reading of another candle
    call(w, "session_light", "{'candles': ['%s']}", other);
    json_t *in = with_photo(phone, "{'reading': '%s', 'candle': '%s'}", reading, other);
    assert_int_equal(try_json(w, "photo_add", in), EP_E_NOT_FOUND);
    in = with_photo(phone, "{'reading': '0198c0de-0000-7000-8000-000000000009'}");
    assert_int_equal(try_json(w, "photo_add", in), EP_E_NOT_FOUND);
    assert_string_equal(w->err.field, "reading");
}

static void sent_twice_it_is_kept_once(void **state)
{
    (void)state;
    const char *id = "0198c0de-0000-7000-8000-000000000001";
    add(with_photo(phone, "{'id': '%s', 'candle': '%s'}", id, code));
    json_t *first = json_incref(w->last);
    pass_hours(w, 0.5);
    add(with_photo(phone, "{'id': '%s', 'candle': '%s'}", id, code));
    assert_true(json_equal(first, w->last));
    json_decref(first);
    assert_int_equal(photos(), 1);
    json_t *in = with_photo((jpeg_wish){.width = 90, .height = 90}, "{'id': '%s', 'candle': '%s'}",
                            id, code);
    assert_int_equal(try_json(w, "photo_add", in), EP_E_CONFLICT);
    assert_int_equal(photos(), 1);
}

static void what_is_wrong_leaves_nothing(void **state)
{
    (void)state;
    refuse(w, EP_E_ARG, "jpeg", "no JPEG", "photo_add",
           "{'candle': '%s', 'jpeg': 'PHN2ZyBvbmxvYWQ9Jyc+'}", code);
    refuse(w, EP_E_PARSE, "jpeg", "base64", "photo_add", "{'candle': '%s', 'jpeg': '/9j/*'}", code);
    refuse(w, EP_E_ARG, "jpeg", "value is needed", "photo_add", "{'candle': '%s'}", code);
    refuse(w, EP_E_ARG, "candle", "value is needed", "photo_add", "{'jpeg': '/9j/'}");
    refuse(w, EP_E_NOT_FOUND, "candle", "ZZZZ", "photo_add", "{'candle': 'ZZZZ', 'jpeg': '/9j/'}");
    refuse(w, EP_E_STATE, "candle", "never lit", "photo_add", "{'candle': '%s', 'jpeg': '/9j/'}",
           other);
    refuse(w, EP_E_ARG, "minute", "outside", "photo_add",
           "{'candle': '%s', 'jpeg': '/9j/', 'minute': 200}", code);
    char *large = malloc(12 * 1024 * 1024 + 1);
    memset(large, 'A', 12 * 1024 * 1024);
    large[12 * 1024 * 1024] = '\0';
    json_t *in = json_pack("{s:s, s:s}", "candle", code, "jpeg", large);
    assert_int_equal(try_json(w, "photo_add", in), EP_E_ARG);
    assert_non_null(strstr(w->err.text, "9437184 bytes are too many, at most 8388608"));
    free(large);
    assert_int_equal(photos(), 0);
    assert_int_equal(rows(EP_Q_PHOTOS_OF), 0);
}

static void taken_out_and_described(void **state)
{
    (void)state;
    char id[40];
    copy_text(id, sizeof id, add(with_photo(phone, "{'candle': '%s'}", code)), "id");
    assert_true(json_is_null(at(w->last, "alt")));
    call(w, "photo_describe", "{'id': '%s', 'alt': 'some hang-up'}", id);
    const json_t *o = call(w, "photo_describe", "{'id': '%s', 'alt': 'hang-up on the left'}", id);
    assert_string_equal(text_at(o, "alt"), "hang-up on the left");
    call(w, "photo_take_out", "{'id': '%s', 'why': 'blurred'}", id);
    assert_int_equal(photos(), 0);
    refuse(w, EP_E_NOT_FOUND, "id", "no photo", "photo_image", "{'id': '%s'}", id);
    refuse(w, EP_E_NOT_FOUND, "id", "no photo", "photo_take_out", "{'id': '%s'}", id);
    // the book keeps it: nothing is ever removed
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_bind bind[] = {ep_bind_text("photo", id)};
    ep_err err = {0};
    assert_int_equal(ep_store_bytes(w->app->store, EP_Q_PHOTO_JPEG, bind, 1, &bytes, &len, &err),
                     EP_OK);
    assert_true(len > 100);
    free(bytes);
}

static void lists(void **state)
{
    (void)state;
    add(with_photo(phone, "{'candle': '%s', 'minute': 10}", code));
    add(with_photo(phone, "{'candle': '%s', 'minute': 30}", code));
    const json_t *o = call(w, "photo_list", "{'candle': '%s'}", code);
    assert_near(real_at(o, "photos.0.minute"), 30, 1e-9);
    assert_near(real_at(o, "photos.1.minute"), 10, 1e-9);
    assert_int_equal(json_array_size(at(call(w, "photo_list", "{'recipe': 'fig'}"), "photos")), 2);
    assert_int_equal(
        json_array_size(at(call(w, "photo_list", "{'candle': '%s'}", other), "photos")), 0);
    assert_int_equal(json_array_size(at(call(w, "photo_list", "{'limit': 1}"), "photos")), 1);
}

// a backup made by the store is the whole book, pictures too
static void backups_have_them(void **state)
{
    (void)state;
    char path[64], id[40];
    ep_err err = {0};
    copy_text(id, sizeof id, add(with_photo(phone, "{'candle': '%s'}", code)), "id");
    snprintf(path, sizeof path, "/tmp/ep-photos-%d.db", (int)getpid());
    assert_int_equal(ep_store_backup(w->app->store, path, &err), EP_OK);
    ep_store *copy = NULL;
    assert_int_equal(ep_store_open(path, &copy, &err), EP_OK);
    unsigned char *bytes = NULL;
    size_t len = 0;
    ep_bind bind[] = {ep_bind_text("photo", id)};
    assert_int_equal(ep_store_bytes(copy, EP_Q_PHOTO_SMALL, bind, 1, &bytes, &len, &err), EP_OK);
    assert_true(len > 100 && bytes[0] == 0xFF && bytes[1] == 0xD8);
    free(bytes);
    ep_store_close(copy);
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_photo_has_its_minute, setup, teardown),
        cmocka_unit_test_setup_teardown(a_photo_of_a_reading, setup, teardown),
        cmocka_unit_test_setup_teardown(sent_twice_it_is_kept_once, setup, teardown),
        cmocka_unit_test_setup_teardown(what_is_wrong_leaves_nothing, setup, teardown),
        cmocka_unit_test_setup_teardown(taken_out_and_described, setup, teardown),
        cmocka_unit_test_setup_teardown(lists, setup, teardown),
        cmocka_unit_test_setup_teardown(backups_have_them, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
