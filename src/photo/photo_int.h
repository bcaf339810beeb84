/// Shared by the files of the photo room only.
#pragma once
#include <stdbool.h>

#include "photo/photo.h"

/// The work itself, in whatever process it is called.
ep_status ep_photo_remake(const unsigned char *bytes, size_t len, ep_photo *out, ep_err *err);

typedef ep_status (*ep_photo_work)(const unsigned char *bytes, size_t len, ep_photo *out,
                                   ep_err *err);
/// Do it in a confined child that has `seconds`. Tests give other work than ep_photo_remake.
ep_status ep_photo_confined(ep_photo_work work, const unsigned char *bytes, size_t len,
                            double seconds, ep_photo *out, ep_err *err);

/// How a camera was held: the Orientation tag of an EXIF block (JEITA CP-3451, TIFF 6.0 section 2),
/// 1 to 8; 1 when there is none or it cannot be read. `block` begins with "Exif\0\0".
int ep_exif_orientation(const unsigned char *block, size_t len);

/// RGB, 3 bytes a pixel, row after row.
typedef struct ep_picture {
    int width, height;
    unsigned char *rgb;  ///< owned
} ep_picture;

/// Longest side to `longest` by the mean over each new pixel's area; a smaller one is copied.
bool ep_picture_shrink(const ep_picture *in, int longest, ep_picture *out);
/// Turned upright from EXIF orientation 1 to 8.
bool ep_picture_turn(const ep_picture *in, int orientation, ep_picture *out);
