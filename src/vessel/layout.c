// Finds places for wicks in rectangles and ovals: equal shares of the plan, each wick as near to
// the middle of its own as that allows, and of some arrangements the best. Eq. G13-G15 in
// docs/physics/geometry.md. Works on the part of the plan that the mirror planes leave, in units of
// half the longer side.
#include <math.h>
#include <string.h>

#include "vessel/vessel.h"
#include "vessel/vessel_int.h"

enum {
    SPOTS = 3,               // at most, in one part
    ARC = 24,                // chords in a quarter of an outline: its area is off by 0.07 %
    CORNERS = 2 * ARC + 16,  // of a part, and what cutting it adds
    ROUNDS = 200
};

// a round that moves no wick by more ends it
static const double STILL = 1e-7;
// a share off by 4 % is as bad as one that reaches 40 % too far
static const double UNEVEN = 10.0;
// a layout of one plane only takes twice as long to foresee, so a little better is not enough
static const double ONE_PLANE = 1.05;

// a convex piece of the plan, counter-clockwise
typedef struct shape {
    int n;
    double x[CORNERS], y[CORNERS];
} shape;

// An arrangement to relax: wicks of one part, and the planes that mirror them into the others. A
// wick that starts on a plane stays on it.
typedef struct arrangement {
    int n_wicks;
    bool flip_x, flip_y;  // x (y) changes sign across the plane
    int n_spots;
    double x[SPOTS], y[SPOTS];  // start, in halves of the longer and the shorter side
} arrangement;

static const arrangement ARRANGEMENT[] = {
    {2, true, true, 1, {0.5}, {0.0}},              // a row
    {3, true, true, 2, {0.0, 0.67}, {0.0, 0.0}},   // a row
    {3, false, true, 2, {0.5, -0.3}, {0.0, 0.5}},  // triangles
    {3, true, false, 2, {0.0, 0.5}, {0.5, -0.3}},
    {4, true, true, 1, {0.5}, {0.5}},                            // two rows of two
    {4, true, true, 2, {0.25, 0.75}, {0.0, 0.0}},                // a row
    {4, true, true, 2, {0.6, 0.0}, {0.0, 0.5}},                  // a diamond
    {5, true, true, 2, {0.0, 0.6}, {0.0, 0.6}},                  // two, one, two
    {5, true, true, 3, {0.0, 0.4, 0.8}, {0.0, 0.0, 0.0}},        // a row
    {5, false, true, 3, {0.62, 0.19, -0.5}, {0.0, 0.59, 0.37}},  // pentagons
    {5, true, false, 3, {0.0, 0.59, 0.37}, {0.62, 0.19, -0.5}},
    {6, true, true, 2, {0.0, 0.67}, {0.5, 0.5}},             // two rows of three
    {6, true, true, 2, {0.7, 0.3}, {0.0, 0.55}},             // one, two, two, one
    {6, true, true, 3, {0.17, 0.5, 0.83}, {0.0, 0.0, 0.0}},  // a row
};

// the wicks of a part while they are moved
typedef struct part {
    const arrangement *a;
    shape whole;
    double area;
    double at[2 * SPOTS];  // x, y of each
    double want[SPOTS];    // share of the part's area that an equal share of the plan makes
    int n_free;            // coordinates that may move, by their place in `at`
    int free[2 * SPOTS];
} part;

// what a part's wicks have
typedef struct shares {
    double over[SPOTS];     // area beyond the wanted, share of the part
    double mid[2 * SPOTS];  // middle of each share
    double far;             // farthest from its wick that any point lies
    double mean_square;     // of the distance to its wick, over all points
} shares;

static void add(shape *s, double x, double y)
{
    s->x[s->n] = x;
    s->y[s->n++] = y;
}

// A quarter of an outline, from the longer axis to the shorter: an arc of half axes p, q with
// straight pieces to the axes. An oval is all arc.
static shape quarter(const ep_vessel *v)
{
    const double half_y = ep_vessel_across_m(v, 1.0);
    const bool oval = v->outline == EP_OUTLINE_OVAL;
    const double p = oval ? 1.0 : v->corner_frac * half_y, q = oval ? half_y : p;
    shape s = {0};
    add(&s, 1.0, 0.0);
    for (int i = 0; i <= ARC; i++) {
        double at = 0.5 * EP_PI * i / ARC;
        add(&s, 1.0 - p + p * cos(at), half_y - q + q * sin(at));
    }
    add(&s, 0.0, half_y);
    return s;
}

// the part of the plan on the plus side of its planes
static shape part_of_plan(const ep_vessel *v, bool flip_x, bool flip_y)
{
    const shape s = quarter(v);
    shape out = {0};
    for (int i = s.n - 1; i >= 0 && !flip_y; i--) {
        add(&out, s.x[i], -s.y[i]);
    }
    for (int i = 0; i < s.n; i++) {
        add(&out, s.x[i], s.y[i]);
    }
    for (int i = s.n - 1; i >= 0 && !flip_x; i--) {
        add(&out, -s.x[i], s.y[i]);
    }
    if (flip_x && flip_y) {
        add(&out, 0.0, 0.0);
    }
    return out;
}

// what of a shape is nearer to wick a than to wick b (Sutherland and Hodgman 1974)
static void cut(shape *s, const double a[2], const double b[2])
{
    const shape from = *s;
    const double nx = b[0] - a[0], ny = b[1] - a[1];
    const double c = 0.5 * (nx * (a[0] + b[0]) + ny * (a[1] + b[1]));
    s->n = 0;
    for (int i = 0; i < from.n; i++) {
        int k = i + 1 < from.n ? i + 1 : 0;
        double here = nx * from.x[i] + ny * from.y[i] - c;
        double next = nx * from.x[k] + ny * from.y[k] - c;
        if (here <= 0.0) {
            add(s, from.x[i], from.y[i]);
        }
        if ((here < 0.0 && next > 0.0) || (here > 0.0 && next < 0.0)) {
            double t = here / (here - next);
            add(s, from.x[i] + t * (from.x[k] - from.x[i]),
                from.y[i] + t * (from.y[k] - from.y[i]));
        }
    }
}

// area and middle of a polygon (Green's theorem)
static double area_of(const shape *s, double mid[2])
{
    double area = 0.0, sum_x = 0.0, sum_y = 0.0;
    for (int i = 0; i < s->n; i++) {
        int k = i + 1 < s->n ? i + 1 : 0;
        double cross = s->x[i] * s->y[k] - s->x[k] * s->y[i];
        area += 0.5 * cross;
        sum_x += (s->x[i] + s->x[k]) * cross / 6.0;
        sum_y += (s->y[i] + s->y[k]) * cross / 6.0;
    }
    mid[0] = area > 0.0 ? sum_x / area : 0.0;
    mid[1] = area > 0.0 ? sum_y / area : 0.0;
    return area;
}

// the square of the distance to a point, summed over a polygon
static double spread_of(const shape *s, const double at[2])
{
    double sum = 0.0;
    for (int i = 0; i < s->n; i++) {
        int k = i + 1 < s->n ? i + 1 : 0;
        double x0 = s->x[i] - at[0], y0 = s->y[i] - at[1];
        double x1 = s->x[k] - at[0], y1 = s->y[k] - at[1];
        sum += (x0 * y1 - x1 * y0) * (x0 * x0 + x0 * x1 + x1 * x1 + y0 * y0 + y0 * y1 + y1 * y1);
    }
    return sum / 12.0;
}

// One wick stands for its mirror images: in its own part no image is nearer than itself.
static void look(const part *p, shares *out)
{
    out->far = out->mean_square = 0.0;
    for (int i = 0; i < p->a->n_spots; i++) {
        const double *at = &p->at[2 * i];
        shape s = p->whole;
        for (int k = 0; k < p->a->n_spots; k++) {
            if (k != i) {
                cut(&s, at, &p->at[2 * k]);
            }
        }
        out->over[i] = area_of(&s, &out->mid[2 * i]) / p->area - p->want[i];
        out->mean_square += spread_of(&s, at) / p->area;
        for (int c = 0; c < s.n; c++) {
            out->far = fmax(out->far, hypot(s.x[c] - at[0], s.y[c] - at[1]));
        }
    }
}

static part part_for(const ep_vessel *v, const arrangement *a)
{
    const double half_y = ep_vessel_across_m(v, 1.0);
    double mid[2];
    part p = {.a = a, .whole = part_of_plan(v, a->flip_x, a->flip_y)};
    p.area = area_of(&p.whole, mid);
    for (int i = 0; i < a->n_spots; i++) {
        const bool on_x = a->flip_x && a->x[i] == 0.0, on_y = a->flip_y && a->y[i] == 0.0;
        int images = (a->flip_x && !on_x ? 2 : 1) * (a->flip_y && !on_y ? 2 : 1);
        p.want[i] = (double)images / a->n_wicks;
        p.at[2 * i] = a->x[i];
        p.at[2 * i + 1] = a->y[i] * half_y;
        if (!on_x) {
            p.free[p.n_free++] = 2 * i;
        }
        if (!on_y) {
            p.free[p.n_free++] = 2 * i + 1;
        }
    }
    return p;
}

// Adds to the moves the least change that makes them undo `over`: J^T (J J^T)^-1 of what is
// missing. The shares add up to the whole, so the last one follows from the one or two others.
static void even_out(int n_spots, int n, double slope[SPOTS][2 * SPOTS], const double over[SPOTS],
                     double move[2 * SPOTS])
{
    double m[2][2] = {{1.0, 0.0}, {0.0, 1.0}}, missing[2] = {0.0, 0.0};
    for (int r = 0; r < n_spots - 1; r++) {
        missing[r] = -over[r];
        for (int c = 0; c < n; c++) {
            missing[r] -= slope[r][c] * move[c];
        }
        for (int s = 0; s < n_spots - 1; s++) {
            m[r][s] = r == s ? 1e-9 : 0.0;  // a share that no move changes is left alone
            for (int c = 0; c < n; c++) {
                m[r][s] += slope[r][c] * slope[s][c];
            }
        }
    }
    const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
    const double pull[2] = {(missing[0] * m[1][1] - missing[1] * m[0][1]) / det,
                            (missing[1] * m[0][0] - missing[0] * m[1][0]) / det};
    for (int c = 0; c < n; c++) {
        for (int r = 0; r < n_spots - 1; r++) {
            move[c] += slope[r][c] * pull[r];
        }
    }
}

// One round of Eq. G14: each wick to the middle of its share, less what would make shares unequal.
// Returns the largest move.
static double relax_once(part *p)
{
    const double h = 1e-6, most = 0.1, off_plane = 0.02;
    shares here, there;
    double slope[SPOTS][2 * SPOTS], move[2 * SPOTS], largest = 0.0;
    look(p, &here);
    for (int c = 0; c < p->n_free; c++) {
        double *at = &p->at[p->free[c]], was = *at;
        move[c] = here.mid[p->free[c]] - was;
        *at = was + h;
        look(p, &there);
        *at = was;
        for (int i = 0; i < p->a->n_spots; i++) {
            slope[i][c] = (there.over[i] - here.over[i]) / h;
        }
    }
    even_out(p->a->n_spots, p->n_free, slope, here.over, move);
    for (int c = 0; c < p->n_free; c++) {
        const int at = p->free[c];
        const bool mirrored = at % 2 == 0 ? p->a->flip_x : p->a->flip_y;
        p->at[at] += fmin(fmax(move[c], -most), most);
        p->at[at] = mirrored ? fmax(p->at[at], off_plane) : p->at[at];
        largest = fmax(largest, fabs(move[c]));
    }
    return largest;
}

// Sorts n places from the largest y down, or from the smallest x up.
static void sort_places(int n, bool by_x, ep_place *place)
{
    for (int i = 1; i < n; i++) {
        const ep_place one = place[i];
        int k = i;
        for (; k > 0 && (by_x ? place[k - 1].x_m > one.x_m : place[k - 1].y_m < one.y_m); k--) {
            place[k] = place[k - 1];
        }
        place[k] = one;
    }
}

// Numbered as one reads: rows from the largest y down, each from left to right. Equal shares can
// put a wick a little out of the row it stands in for the eye, so a row has some height.
static void number_as_read(int n, double row_m, ep_place *place)
{
    sort_places(n, false, place);
    for (int first = 0, end = 0; first < n; first = end) {
        while (end < n && place[first].y_m - place[end].y_m <= row_m) {
            end++;
        }
        sort_places(end - first, true, place + first);
    }
}

// all wicks, with their images, numbered as one reads
static void write_out(const part *p, double half_m, ep_place *out)
{
    const double row_m = 0.1 * half_m;
    int n = 0;
    for (int i = 0; i < p->a->n_spots; i++) {
        // to the micrometre: the digits beyond hang on when the rounds end
        const double x_m = ep_rounded(half_m * p->at[2 * i], 1e6);
        const double y_m = ep_rounded(half_m * p->at[2 * i + 1], 1e6);
        for (int image = 0; image < 4; image++) {
            const bool left = image & 1, down = image & 2;
            if ((left && (!p->a->flip_x || x_m == 0.0)) ||
                (down && (!p->a->flip_y || y_m == 0.0))) {
                continue;
            }
            out[n++] = (ep_place){left ? -x_m : x_m, down ? -y_m : y_m};
        }
    }
    number_as_read(n, row_m, out);
}

// Eq. G15: how far from good an arrangement is; 1 if every share were a circle round its wick
static double fault_of(const ep_vessel *v, double height_m, const part *p, const ep_place *place)
{
    const int n = p->a->n_wicks;
    const double half_m = ep_vessel_radius_m(v, height_m);
    const double equal_m = sqrt(ep_vessel_area_m2(v, height_m) / (n * EP_PI));
    double wall_m = 0.0, apart_m = 0.0, uneven = 0.0;
    shares s;
    look(p, &s);
    for (int i = 0; i < p->a->n_spots; i++) {
        uneven = fmax(uneven, fabs(s.over[i]) / p->want[i]);
    }
    ep_places_clearance(v, height_m, n, place, &wall_m, &apart_m);
    double worst = fmax(half_m * s.far / equal_m, wall_m > 0.0 ? equal_m / wall_m : 1e3);
    double mean = half_m * sqrt(2.0 * s.mean_square) / equal_m;
    double fault = mean * worst * (1.0 + UNEVEN * uneven);
    fault *= p->a->flip_x && p->a->flip_y ? 1.0 : ONE_PLANE;
    return ep_places_check(v, height_m, n, place, "places", NULL) == EP_OK ? fault : fault + 1e3;
}

void ep_layout_find(const ep_vessel *v, double height_m, int n_wicks, ep_place *out)
{
    double least = (double)INFINITY;
    for (size_t i = 0; i < sizeof ARRANGEMENT / sizeof *ARRANGEMENT; i++) {
        if (ARRANGEMENT[i].n_wicks != n_wicks) {
            continue;
        }
        part p = part_for(v, &ARRANGEMENT[i]);
        for (int round = 0; round < ROUNDS && relax_once(&p) > STILL; round++) {
        }
        ep_place place[EP_MAX_WICKS];
        write_out(&p, ep_vessel_radius_m(v, height_m), place);
        double fault = fault_of(v, height_m, &p, place);
        // of two that are as good the first is taken, whatever the last digit says
        if (fault < least * (1.0 - 1e-6)) {
            least = fault;
            memcpy(out, place, (size_t)n_wicks * sizeof *out);
        }
    }
}
