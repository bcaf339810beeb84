// JPEG files as a phone or camera writes them, made by the library itself: a picture of four
// coloured quarters, an EXIF block with orientation, time and position.
#pragma once
// jpeglib.h wants stdio.h before it, jerror.h wants jpeglib.h
// clang-format off
#include <stdio.h>
#include <jpeglib.h>
// clang-format on
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

typedef struct jpeg_wish {
    int width, height, orientation;  // orientation 0: no EXIF block
    bool progressive, grey, noisy;
} jpeg_wish;

typedef struct jpeg_file {
    unsigned char *data;  // owned: free
    unsigned long len;
} jpeg_file;

static const char a_position[] = "N 48 12 31.5 E 16 22 19.2";

// EXIF: orientation (0x0112) and a text where a position would stand (0x8825 is its pointer's tag;
// the text is what must not be found afterwards), big-endian as most cameras write it
static size_t exif_made(int orientation, unsigned char *out)
{
    static const unsigned char head[] = {'E', 'x', 'i', 'f', 0, 0, 'M', 'M',
                                         0,   42,  0,   0,   0, 8, 0,   2};
    unsigned char entry[] = {0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 0, 0, 0};
    unsigned char place[] = {0x88, 0x25, 0, 2, 0, 0, 0, sizeof a_position, 0, 0, 0, 38};
    size_t n = 0;
    entry[9] = (unsigned char)orientation;
    memcpy(out, head, sizeof head);
    memcpy(out + (n = sizeof head), entry, sizeof entry);
    memcpy(out + (n += sizeof entry), place, sizeof place);
    memset(out + (n += sizeof place), 0, 4);
    memcpy(out + (n += 4), a_position, sizeof a_position);
    return n + sizeof a_position;
}

// red top left, green top right, blue below left, white below right
static void quarter(const jpeg_wish *w, int x, int y, unsigned char *px)
{
    bool right = x >= w->width / 2, below = y >= w->height / 2;
    unsigned noise = w->noisy ? (unsigned)rand() : 0;
    px[0] = (unsigned char)((right && below) || (!right && !below) ? 230 - noise % 200 : 20);
    px[1] = (unsigned char)(right ? 230 - noise / 256 % 200 : 20);
    px[2] = (unsigned char)(below ? 230 - noise / 65536 % 200 : 20);
}

static jpeg_file jpeg_made(jpeg_wish w)
{
    struct jpeg_compress_struct c;
    struct jpeg_error_mgr mgr;
    jpeg_file f = {0};
    c.err = jpeg_std_error(&mgr);
    jpeg_create_compress(&c);
    jpeg_mem_dest(&c, &f.data, &f.len);
    c.image_width = (JDIMENSION)w.width;
    c.image_height = (JDIMENSION)w.height;
    c.input_components = w.grey ? 1 : 3;
    c.in_color_space = w.grey ? JCS_GRAYSCALE : JCS_RGB;
    jpeg_set_defaults(&c);
    jpeg_set_quality(&c, 90, TRUE);
    if (w.progressive) {
        jpeg_simple_progression(&c);
    }
    jpeg_start_compress(&c, TRUE);
    if (w.orientation) {
        unsigned char exif[200];
        size_t n = exif_made(w.orientation, exif);
        jpeg_write_marker(&c, JPEG_APP0 + 1, exif, (unsigned)n);
        jpeg_write_marker(&c, JPEG_COM, (const JOCTET *)"taken at home", 13);
    }
    unsigned char *row = malloc((size_t)w.width * 3);
    while (c.next_scanline < c.image_height) {
        int y = (int)c.next_scanline;
        for (int x = 0; x < w.width; x++) {
            quarter(&w, x, y, row + (w.grey ? x : 3 * x));
        }
        JSAMPROW at = row;
        jpeg_write_scanlines(&c, &at, 1);
    }
    free(row);
    jpeg_finish_compress(&c);
    jpeg_destroy_compress(&c);
    return f;
}
