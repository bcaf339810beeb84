/// A photo as it came from a phone or a camera, made anew: JPEG in, JPEG out, at most
/// EP_PHOTO_LONGEST long, upright, with nothing of the old file but its picture: no position, no
/// date, no maker's notes. The old file is read by a child process that can open nothing and do
/// nothing but calculate and answer (confine.c).
/// Needs: base, libjpeg-turbo, libseccomp. Allocates: the two pictures. Thread use: any; one call
/// takes up to EP_PHOTO_MEMORY in its child for a moment, so callers take turns.
#pragma once
#include <stddef.h>

#include "base/status.h"

enum {
    EP_PHOTO_IN_MAX = 8 * 1024 * 1024,       ///< bytes of a file
    EP_PHOTO_SIDE_MAX = 12000,               ///< pixels of a file
    EP_PHOTO_PIXELS_MAX = 25 * 1000 * 1000,  ///< width times height
    EP_PHOTO_LONGEST = 1600,                 ///< pixels of what is kept
    EP_PHOTO_SMALL = 320,                    ///< of the small picture beside it
    EP_PHOTO_OUT_MAX = 2 * 1024 * 1024,      ///< bytes of what is kept
    EP_PHOTO_MEMORY = 224 * 1024 * 1024,     ///< bytes a child may take beyond what it began with
    EP_PHOTO_SECONDS = 10,                   ///< before a child is stopped
};

typedef struct ep_photo {
    int width, height;           ///< pixels of `jpeg`
    unsigned char *jpeg;         ///< owned
    unsigned char *small_jpeg;   ///< owned
    size_t jpeg_len, small_len;  ///< bytes
} ep_photo;

/// @param bytes  the file, borrowed
/// @param out    owned by the caller, ep_photo_clear; empty after an error
/// @return EP_E_ARG: no JPEG, damaged, cut off, too large, colours for print; EP_E_IO: the child
///         could not be started. The field is "jpeg".
ep_status ep_photo_make(const unsigned char *bytes, size_t len, ep_photo *out, ep_err *err);
void ep_photo_clear(ep_photo *p);
