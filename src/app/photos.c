// Photos of candles in a burn session. What was sent is never kept: a confined process reads it and
// writes it anew (photo/photo.h), before the book is locked.
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/bench_int.h"
#include "photo/photo.h"

enum { LISTED = 200 };

static const double ms_per_min = 60e3;

static ep_status get(ep_app *app, const char *id, json_t **out, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("id", id)};
    ep_status status = ep_store_one(app->store, EP_Q_PHOTO_GET, bind, 1, out, err);
    return status == EP_E_NOT_FOUND
               ? ep_err_set(err, status, "id", "id: there is no photo “%.60s”", id)
               : status;
}

// --- adding ---

/// Where and when it was taken; what is not said is taken from the reading it shows.
static ep_status fill_in(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *said = json_copy((json_t *)(uintptr_t)in), *row = NULL;
    const char *reading = ep_in_text(in, "reading");
    ep_bind bind[] = {ep_bind_text("id", reading)};
    ep_status status = EP_OK;
    if (reading) {
        status = ep_store_one(app->store, EP_Q_READING_GET, bind, 1, &row, err);
    }
    if (status == EP_E_NOT_FOUND) {
        status = ep_err_set(err, status, "reading", "reading: there is none with the id “%.60s”",
                            reading);
    } else if (status == EP_OK && reading && !ep_in_has(said, "candle")) {
        json_object_set(said, "candle", json_object_get(row, "candle_id"));
    }
    if (status == EP_OK && !ep_in_has(said, "candle")) {
        status = ep_err_set(err, EP_E_ARG, "candle",
                            "candle: a value is needed, a code or id, or a reading");
    }
    if (status == EP_OK && reading && !ep_in_has(said, "session")) {
        json_object_set(said, "session", json_object_get(row, "session_id"));
    }
    if (status == EP_OK && reading && !ep_in_has(said, "minute") && !ep_in_has(said, "at")) {
        json_object_set_new(said, "minute", json_real(ep_row_real(row, "minute") * 60.0));
    }
    json_decref(row);
    if (status != EP_OK) {
        json_decref(said);
        return status;
    }
    *out = said;
    return EP_OK;
}

/// The reading must be of the same candle in the same burn.
static ep_status reading_fits(ep_app *app, const char *id, const ep_seen *s, ep_err *err)
{
    json_t *row = NULL;
    ep_bind bind[] = {ep_bind_text("id", id)};
    ep_status status = id ? ep_store_one(app->store, EP_Q_READING_GET, bind, 1, &row, err) : EP_OK;
    if (id && status == EP_OK &&
        (strcmp(ep_row_text(row, "candle_id"), s->candle.id) != 0 ||
         strcmp(ep_row_text(row, "session_id"), s->session) != 0)) {
        status = ep_err_set(err, EP_E_ARG, "reading",
                            "reading: that one is of another candle or another session");
    }
    json_decref(row);
    return status;
}

static ep_status save(ep_app *app, const char *id, const ep_seen *s, double minute,
                      const json_t *in, const ep_photo *p, ep_err *err)
{
    ep_bind photo[] = {
        ep_bind_text("id", id),
        ep_bind_text("session", s->session),
        ep_bind_text("candle", s->candle.id),
        ep_bind_text("reading", ep_in_text(in, "reading")),
        ep_bind_real("minute", minute),
        ep_bind_int("seen", s->lit_ms + (ep_time_ms)llround(minute * ms_per_min)),
        ep_bind_int("width", p->width),
        ep_bind_int("height", p->height),
        ep_bind_int("bytes", (int64_t)p->jpeg_len),
        ep_bind_text_or_null("alt", ep_in_text(in, "alt")),
        ep_bind_int("at", ep_app_now(app)),
    };
    ep_bind image[] = {
        ep_bind_text("photo", id),
        ep_bind_bytes("jpeg", p->jpeg, p->jpeg_len),
        ep_bind_bytes("small", p->small_jpeg, p->small_len),
    };
    ep_status status = ep_store_run(app->store, EP_Q_PHOTO_ADD, photo, EP_COUNT_OF(photo), err);
    return status == EP_OK
               ? ep_store_run(app->store, EP_Q_PHOTO_IMAGE_ADD, image, EP_COUNT_OF(image), err)
               : status;
}

/// With p NULL only what can be refused before the picture is looked at.
static ep_status place(ep_app *app, const json_t *in, const ep_photo *p, json_t **out, ep_err *err)
{
    ep_seen s = {0};
    json_t *said = NULL;
    double minute = 0;
    char id[EP_ID_CAP];
    ep_in_new_id(app, in, id);
    ep_status status = fill_in(app, in, &said, err);
    status = status == EP_OK ? ep_seen_find(app, said, &s, err) : status;
    status = status == EP_OK ? reading_fits(app, ep_in_text(in, "reading"), &s, err) : status;
    status = status == EP_OK ? ep_seen_minute(app, said, &s, false, &minute, err) : status;
    if (status == EP_OK && p) {
        status = save(app, id, &s, minute, in, p, err);
        status = status == EP_OK ? get(app, id, out, err) : status;
    }
    json_decref(said);
    return status;
}

/// The first answer again when this very photo was sent before.
static ep_status sent_before(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    return id ? ep_receipt_find(app, id, "photo_add", in, out, err) : EP_OK;
}

static ep_status look_ahead(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_status status = ep_app_begin(app, false, "photo_add", err);
    if (status != EP_OK) {
        return status;
    }
    status = sent_before(app, in, out, err);
    if (status == EP_OK && !*out) {
        status = place(app, in, NULL, NULL, err);
    }
    return ep_app_end(app, status, err);
}

static ep_status keep(ep_app *app, const json_t *in, const ep_photo *p, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    ep_status status = ep_app_begin(app, true, "photo_add", err);
    if (status != EP_OK) {
        return status;
    }
    status = sent_before(app, in, out, err);  // it may have come twice at once
    if (status == EP_OK && !*out) {
        status = place(app, in, p, out, err);
        if (status == EP_OK && id) {
            status = ep_receipt_keep(app, id, "photo_add", in, *out, err);
        }
    }
    return ep_app_end(app, status, err);
}

/// Decode base64 and make the picture anew, one at a time.
static ep_status develop(ep_app *app, const json_t *in, ep_photo *out, ep_err *err)
{
    const char *text = ep_in_text(in, "jpeg");
    size_t cap = strlen(text), len = 0;
    unsigned char *bytes = malloc(cap + 1);
    if (!bytes) {
        return ep_err_set(err, EP_E_MEMORY, "jpeg", "jpeg: out of memory");
    }
    ep_status status = EP_OK;
    if (sodium_base642bin(bytes, cap, text, cap, NULL, &len, NULL,
                          sodium_base64_VARIANT_ORIGINAL) != 0) {
        status = ep_err_set(err, EP_E_PARSE, "jpeg", "jpeg: bytes in base64 are needed here");
    } else {
        pthread_mutex_lock(&app->darkroom);
        status = ep_photo_make(bytes, len, out, err);
        pthread_mutex_unlock(&app->darkroom);
    }
    free(bytes);
    return status;
}

ep_status ep_case_photo_add(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    ep_photo p = {0};
    ep_status status = look_ahead(app, in, out, err);
    if (status != EP_OK || *out) {
        return status;
    }
    status = develop(app, in, &p, err);
    if (status == EP_OK) {
        status = keep(app, in, &p, out, err);
    }
    ep_photo_clear(&p);
    return status;
}

// --- looking ---

ep_status ep_case_photo_list(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    char recipe[EP_ID_CAP] = "";
    ep_candle candle = {0};
    json_t *rows = NULL;
    ep_status status = EP_OK;
    if (ep_in_has(in, "candle")) {
        status = ep_candle_load(app, ep_in_text(in, "candle"), "candle", &candle, err);
    }
    if (status == EP_OK && ep_in_has(in, "recipe")) {
        status = ep_find_recipe(app, ep_in_text(in, "recipe"), "recipe", recipe, err);
    }
    ep_bind bind[] = {ep_bind_text("session", ep_in_text(in, "session")),
                      ep_bind_text_or_null("candle", candle.id),
                      ep_bind_text_or_null("recipe", recipe),
                      ep_bind_int("limit", ep_in_int(in, "limit", LISTED))};
    if (status == EP_OK) {
        status = ep_store_json(app->store, EP_Q_PHOTOS_OF, bind, EP_COUNT_OF(bind), &rows, err);
    }
    if (status == EP_OK) {
        *out = json_pack("{s:o}", "photos", rows);
    }
    return status;
}

static json_t *base64_of(const unsigned char *bytes, size_t len)
{
    size_t cap = sodium_base64_ENCODED_LEN(len, sodium_base64_VARIANT_ORIGINAL);
    char *text = malloc(cap);
    json_t *value = NULL;
    if (text) {
        sodium_bin2base64(text, cap, bytes, len, sodium_base64_VARIANT_ORIGINAL);
        value = json_string(text);
    }
    free(text);
    return value;
}

ep_status ep_case_photo_image(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    json_t *photo = NULL;
    unsigned char *bytes = NULL;
    size_t len = 0;
    const char *id = ep_in_text(in, "id"), *size = ep_in_text(in, "size");
    bool small = size && strcmp(size, "small") == 0;
    ep_status status = get(app, id, &photo, err);
    if (status == EP_OK) {
        ep_bind bind[] = {ep_bind_text("photo", id)};
        status = ep_store_bytes(app->store, small ? EP_Q_PHOTO_SMALL : EP_Q_PHOTO_JPEG, bind, 1,
                                &bytes, &len, err);
    }
    if (status == EP_OK) {
        char name[80];
        snprintf(name, sizeof name, "%s-%.0f-min.jpg", ep_row_text(photo, "code"),
                 ep_row_real(photo, "minute"));
        *out = json_pack("{s:s, s:o}", "name", name, "base64", base64_of(bytes, len));
    }
    free(bytes);
    json_decref(photo);
    return status;
}

// --- correcting ---

static ep_status mark(ep_app *app, const char *id, const char *kind, const char *text, ep_err *err)
{
    ep_bind bind[] = {ep_bind_text("photo", id), ep_bind_text("kind", kind),
                      ep_bind_text_or_null("text", text), ep_bind_int("at", ep_app_now(app))};
    return ep_store_run(app->store, EP_Q_PHOTO_MARK_ADD, bind, EP_COUNT_OF(bind), err);
}

ep_status ep_case_photo_describe(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    json_t *before = NULL;
    ep_status status = get(app, id, &before, err);
    json_decref(before);
    status = status == EP_OK ? mark(app, id, "described", ep_in_text(in, "alt"), err) : status;
    return status == EP_OK ? get(app, id, out, err) : status;
}

ep_status ep_case_photo_take_out(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    const char *id = ep_in_text(in, "id");
    json_t *photo = NULL;
    ep_status status = get(app, id, &photo, err);
    status = status == EP_OK ? mark(app, id, "taken_out", ep_in_text(in, "why"), err) : status;
    if (status == EP_OK) {
        *out = json_pack("{s:s, s:b}", "id", id, "taken_out", 1);
    }
    json_decref(photo);
    return status;
}
