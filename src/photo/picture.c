// Pictures in memory: made smaller, turned upright.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "photo/photo_int.h"

static bool allot(ep_picture *p, int width, int height)
{
    *p = (ep_picture){width, height, malloc((size_t)width * (size_t)height * 3)};
    return p->rgb != NULL;
}

static int scaled(int side, int longest_in, int longest_out)
{
    int s = (int)lround((double)side * longest_out / longest_in);
    return s < 1 ? 1 : s;
}

/// Mean of the rectangle x0..x1, y0..y1 of pixels, edges counted by the part that is inside.
static void mean(const ep_picture *in, double x0, double x1, double y0, double y1,
                 unsigned char *out)
{
    double sum[3] = {0}, weight = 0;
    for (int y = (int)y0; y < in->height && y < y1; y++) {
        double wy = fmin(y + 1, y1) - fmax(y, y0);
        const unsigned char *px = in->rgb + ((size_t)y * (size_t)in->width + (size_t)x0) * 3;
        for (int x = (int)x0; x < in->width && x < x1; x++, px += 3) {
            double w = wy * (fmin(x + 1, x1) - fmax(x, x0));
            weight += w;
            sum[0] += w * px[0];
            sum[1] += w * px[1];
            sum[2] += w * px[2];
        }
    }
    for (int c = 0; c < 3; c++) {
        out[c] = (unsigned char)lround(sum[c] / weight);
    }
}

bool ep_picture_shrink(const ep_picture *in, int longest, ep_picture *out)
{
    int side = in->width > in->height ? in->width : in->height;
    bool copy = side <= longest;
    if (!allot(out, copy ? in->width : scaled(in->width, side, longest),
               copy ? in->height : scaled(in->height, side, longest))) {
        return false;
    }
    if (copy) {
        memcpy(out->rgb, in->rgb, (size_t)in->width * (size_t)in->height * 3);
        return true;
    }
    double sx = (double)in->width / out->width, sy = (double)in->height / out->height;
    unsigned char *px = out->rgb;
    for (int y = 0; y < out->height; y++) {
        for (int x = 0; x < out->width; x++, px += 3) {
            mean(in, x * sx, (x + 1) * sx, y * sy, (y + 1) * sy, px);
        }
    }
    return true;
}

bool ep_picture_turn(const ep_picture *in, int orientation, ep_picture *out)
{
    // 1 upright, 2 mirrored, 3 upside down, 4 both; 5 to 8 the same with rows for columns
    bool swap = orientation >= 5;
    bool right_to_left =
        orientation == 2 || orientation == 3 || orientation == 7 || orientation == 8;
    bool bottom_up = orientation == 3 || orientation == 4 || orientation == 6 || orientation == 7;
    if (!allot(out, swap ? in->height : in->width, swap ? in->width : in->height)) {
        return false;
    }
    unsigned char *px = out->rgb;
    for (int y = 0; y < out->height; y++) {
        for (int x = 0; x < out->width; x++, px += 3) {
            int column = swap ? y : x, row = swap ? x : y;
            column = right_to_left ? in->width - 1 - column : column;
            row = bottom_up ? in->height - 1 - row : row;
            memcpy(px, in->rgb + ((size_t)row * (size_t)in->width + (size_t)column) * 3, 3);
        }
    }
    return true;
}
