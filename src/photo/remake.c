// From a strange JPEG to one of our own. The library leaves an error by longjmp, because its error
// handler must not return; it goes no further than this file.
// jpeglib.h wants stdio.h before it, jerror.h wants jpeglib.h
// clang-format off
#include <stdio.h>
#include <jpeglib.h>
#include <jerror.h>
// clang-format on
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include "photo/photo_int.h"

enum { SCANS_MAX = 100, EXIF_MAX = 0xFFFF };

typedef struct trouble {
    struct jpeg_error_mgr mgr;  // first, so that one points at the other
    jmp_buf back;
    int damage;  // warnings that mean that something is missing
    char text[JMSG_LENGTH_MAX];
} trouble;

static ep_status refuse(ep_err *err, const char *text)
{
    return ep_err_set(err, EP_E_ARG, "jpeg", "jpeg: %s", text);
}

static ep_status no_memory(ep_err *err)
{
    return ep_err_set(err, EP_E_MEMORY, "jpeg", "jpeg: out of memory");
}

static void on_error(j_common_ptr c)
{
    trouble *t = (trouble *)c->err;
    c->err->format_message(c, t->text);
    longjmp(t->back, 1);
}

// bytes between segments and oddities of old programs harm nothing; all else is a picture in part
static void on_message(j_common_ptr c, int level)
{
    trouble *t = (trouble *)c->err;
    int code = c->err->msg_code;
    t->damage += level < 0 && code != JWRN_EXTRANEOUS_DATA && code != JWRN_ADOBE_XFORM &&
                 code != JWRN_JFIF_MAJOR;
}

// a progressive picture can ask for the same pixels over and over
static void on_progress(j_common_ptr c)
{
    if (((j_decompress_ptr)c)->input_scan_number > SCANS_MAX) {
        c->err->msg_code = JERR_BAD_PROGRESSION;
        c->err->error_exit(c);
    }
}

static void watch(trouble *t)
{
    memset(t, 0, sizeof *t);
    jpeg_std_error(&t->mgr);
    t->mgr.error_exit = on_error;
    t->mgr.emit_message = on_message;
}

// --- in ---

static ep_status check_head(const struct jpeg_decompress_struct *d, ep_err *err)
{
    if (d->image_width > EP_PHOTO_SIDE_MAX || d->image_height > EP_PHOTO_SIDE_MAX ||
        (double)d->image_width * d->image_height > EP_PHOTO_PIXELS_MAX) {
        return ep_err_set(err, EP_E_ARG, "jpeg",
                          "jpeg: %u x %u pixels are too many, at most 12000 on a side and 25 "
                          "million in all",
                          d->image_width, d->image_height);
    }
    if (d->image_width < 16 || d->image_height < 16) {
        return ep_err_set(err, EP_E_ARG, "jpeg", "jpeg: %u x %u pixels show nothing, at least 16",
                          d->image_width, d->image_height);
    }
    if (d->num_components != 1 && d->num_components != 3) {
        return refuse(err, "its colours are those of print (CMYK); save it in RGB");
    }
    return EP_OK;
}

static int orientation_of(const struct jpeg_decompress_struct *d)
{
    for (jpeg_saved_marker_ptr m = d->marker_list; m; m = m->next) {
        if (m->marker == JPEG_APP0 + 1 && m->data_length >= 6 && memcmp(m->data, "Exif", 4) == 0) {
            return ep_exif_orientation(m->data, m->data_length);
        }
    }
    return 1;
}

// the decoder halves large pictures on the way, as far as they stay larger than what is kept
static void choose_scale(struct jpeg_decompress_struct *d)
{
    unsigned longest = d->image_width > d->image_height ? d->image_width : d->image_height;
    unsigned eighths = 8;
    while (eighths > 1 && longest * (eighths - 1) / 8 >= EP_PHOTO_LONGEST) {
        eighths--;
    }
    d->scale_num = eighths;
    d->scale_denom = 8;
}

static ep_status read_rows(struct jpeg_decompress_struct *d, const trouble *t, ep_picture *out,
                           ep_err *err)
{
    size_t row = (size_t)d->output_width * 3;
    out->width = (int)d->output_width;
    out->height = (int)d->output_height;
    out->rgb = malloc(row * d->output_height);
    if (!out->rgb) {
        return no_memory(err);
    }
    while (d->output_scanline < d->output_height && t->damage == 0) {
        JSAMPROW at = out->rgb + row * d->output_scanline;
        jpeg_read_scanlines(d, &at, 1);
    }
    if (t->damage == 0) {
        jpeg_finish_decompress(d);
    }
    return t->damage ? refuse(err, "the file is damaged or cut off") : EP_OK;
}

static ep_status decode_with(struct jpeg_decompress_struct *d, trouble *t,
                             const unsigned char *bytes, size_t len, ep_picture *out,
                             int *orientation, ep_err *err)
{
    struct jpeg_progress_mgr progress = {.progress_monitor = on_progress};
    jpeg_create_decompress(d);
    d->progress = &progress;
    jpeg_mem_src(d, bytes, (unsigned long)len);
    jpeg_save_markers(d, JPEG_APP0 + 1, EXIF_MAX);
    jpeg_read_header(d, TRUE);
    ep_status status = check_head(d, err);
    if (status != EP_OK) {
        return status;
    }
    *orientation = orientation_of(d);
    d->out_color_space = JCS_RGB;
    choose_scale(d);
    jpeg_start_decompress(d);
    return read_rows(d, t, out, err);
}

static ep_status decode(const unsigned char *bytes, size_t len, ep_picture *out, int *orientation,
                        ep_err *err)
{
    struct jpeg_decompress_struct d;
    trouble t;
    watch(&t);
    memset(&d, 0, sizeof d);
    d.err = &t.mgr;
    ep_status status;
    if (setjmp(t.back) == 0) {
        status = decode_with(&d, &t, bytes, len, out, orientation, err);
    } else {
        status =
            ep_err_set(err, EP_E_ARG, "jpeg", "jpeg: the file cannot be read (%.150s)", t.text);
    }
    jpeg_destroy_decompress(&d);
    if (status != EP_OK) {
        free(out->rgb);
        out->rgb = NULL;
    }
    return status;
}

// --- out ---

static void encode_with(struct jpeg_compress_struct *c, const ep_picture *p, int quality,
                        unsigned char **out, unsigned long *len)
{
    jpeg_create_compress(c);
    jpeg_mem_dest(c, out, len);
    c->image_width = (JDIMENSION)p->width;
    c->image_height = (JDIMENSION)p->height;
    c->input_components = 3;
    c->in_color_space = JCS_RGB;
    jpeg_set_defaults(c);
    jpeg_set_quality(c, quality, TRUE);
    c->optimize_coding = TRUE;
    jpeg_start_compress(c, TRUE);
    while (c->next_scanline < c->image_height) {
        JSAMPROW row = p->rgb + (size_t)c->next_scanline * (size_t)p->width * 3;
        jpeg_write_scanlines(c, &row, 1);
    }
    jpeg_finish_compress(c);
}

static ep_status encode(const ep_picture *p, int quality, unsigned char **out, size_t *len,
                        ep_err *err)
{
    struct jpeg_compress_struct c;
    trouble t;
    unsigned long n = 0;
    watch(&t);
    memset(&c, 0, sizeof c);
    c.err = &t.mgr;
    ep_status status = EP_OK;
    if (setjmp(t.back) == 0) {
        encode_with(&c, p, quality, out, &n);
    } else {
        status =
            ep_err_set(err, EP_E_MEMORY, "jpeg", "jpeg: it could not be written (%.150s)", t.text);
    }
    jpeg_destroy_compress(&c);
    *len = n;
    return status;
}

// --- all of it ---

static ep_status upright(const unsigned char *bytes, size_t len, ep_picture *out, ep_err *err)
{
    ep_picture whole = {0}, shrunk = {0};
    int orientation = 1;
    ep_status status = decode(bytes, len, &whole, &orientation, err);
    if (status == EP_OK && !ep_picture_shrink(&whole, EP_PHOTO_LONGEST, &shrunk)) {
        status = no_memory(err);
    }
    free(whole.rgb);
    if (status == EP_OK && !ep_picture_turn(&shrunk, orientation, out)) {
        status = no_memory(err);
    }
    free(shrunk.rgb);
    return status;
}

// a noisy picture is kept more coarsely, so that no photo fills the book
static ep_status write_out(const ep_picture *p, ep_photo *out, ep_err *err)
{
    static const int quality[] = {82, 68, 50, 30};
    ep_status status = EP_OK;
    for (int i = 0; i < 4 && status == EP_OK; i++) {
        free(out->jpeg);
        out->jpeg = NULL;
        status = encode(p, quality[i], &out->jpeg, &out->jpeg_len, err);
        if (out->jpeg_len <= EP_PHOTO_OUT_MAX / 4) {
            break;
        }
    }
    return status;
}

ep_status ep_photo_remake(const unsigned char *bytes, size_t len, ep_photo *out, ep_err *err)
{
    *out = (ep_photo){0};
    if (len > EP_PHOTO_IN_MAX) {
        return ep_err_set(err, EP_E_ARG, "jpeg", "jpeg: %zu bytes are too many, at most %d", len,
                          EP_PHOTO_IN_MAX);
    }
    if (len < 4 || bytes[0] != 0xFF || bytes[1] != 0xD8 || bytes[2] != 0xFF) {
        return refuse(err, "this is no JPEG picture");
    }
    ep_picture p = {0}, small = {0};
    ep_status status = upright(bytes, len, &p, err);
    if (status == EP_OK) {
        out->width = p.width;
        out->height = p.height;
        status = write_out(&p, out, err);
    }
    if (status == EP_OK && !ep_picture_shrink(&p, EP_PHOTO_SMALL, &small)) {
        status = no_memory(err);
    }
    if (status == EP_OK) {
        status = encode(&small, 78, &out->small_jpeg, &out->small_len, err);
    }
    free(p.rgb);
    free(small.rgb);
    if (status != EP_OK) {
        ep_photo_clear(out);
    }
    return status;
}

void ep_photo_clear(ep_photo *p)
{
    free(p->jpeg);
    free(p->small_jpeg);
    *p = (ep_photo){0};
}
