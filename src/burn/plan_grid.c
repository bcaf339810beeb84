// Columns of a jar seen from above: rings round one centred wick, or square cells of a plan grid
// cut down by the mirror planes of vessel and wicks.
#include <math.h>

#include "burn/jar_int.h"

static int at_least(int n, int least)
{
    return n < least ? least : n;
}

static double widest_half_m(const ep_vessel *v)
{
    double min_m = 0.0, max_m = 0.0;
    ep_vessel_width_range_m(v, ep_vessel_height_m(v), &min_m, &max_m);
    return 0.5 * max_m;
}

bool ep_burn_case_rings(const ep_burn_case *c)
{
    return !c->whole_plan && c->vessel.outline == EP_OUTLINE_ROUND && c->n_wicks == 1 &&
           hypot(c->place[0].x_m, c->place[0].y_m) < 1e-6;
}

// is the set of wicks its own image when x (or y) changes sign?
static bool mirrored(const ep_burn_case *c, bool flip_x)
{
    for (int a = 0; a < c->n_wicks; a++) {
        double x_m = flip_x ? -c->place[a].x_m : c->place[a].x_m;
        double y_m = flip_x ? c->place[a].y_m : -c->place[a].y_m;
        bool found = false;
        for (int b = 0; b < c->n_wicks && !found; b++) {
            found = hypot(c->place[b].x_m - x_m, c->place[b].y_m - y_m) < 1e-6;
        }
        if (!found) {
            return false;
        }
    }
    return true;
}

static bool take_columns(ep_jar *j)
{
    const size_t n = (size_t)j->n_columns;
    double **list[] = {&j->x_m,       &j->y_m,       &j->area_m2, &j->len_m[0], &j->len_m[1],
                       &j->half_m[0], &j->half_m[1], &j->depth_m, &j->near_m,   &j->surface_m};
    bool ok = true;
    for (size_t a = 0; a < sizeof list / sizeof *list; a++) {
        *list[a] = ep_arena_alloc(&j->arena, n, sizeof(double));
        ok = ok && *list[a];
    }
    j->low = ep_arena_alloc(&j->arena, n, sizeof *j->low);
    j->top = ep_arena_alloc(&j->arena, n, sizeof *j->top);
    j->high = ep_arena_alloc(&j->arena, n, sizeof *j->high);
    j->pool = ep_arena_alloc(&j->arena, n, sizeof *j->pool);
    j->queue = ep_arena_alloc(&j->arena, n, sizeof *j->queue);
    j->runoff = ep_arena_alloc(&j->arena, n, sizeof *j->runoff);
    for (int side = 0; side < SIDES; side++) {
        j->beside[side] = ep_arena_alloc(&j->arena, n, sizeof *j->beside[side]);
        ok = ok && j->beside[side];
    }
    return ok && j->low && j->top && j->high && j->pool && j->queue && j->runoff;
}

static ep_status lay_rings(ep_jar *j)
{
    const ep_vessel *v = &j->c->vessel;
    const double half_m = widest_half_m(v);
    const int n_in = at_least((int)lround(half_m / j->c->grid_m), 5);
    const int n_wall = at_least((int)lround(v->wall_m / j->c->grid_m), 1);
    j->rings = true;
    j->copies = 1.0;
    j->nx = j->n_columns = n_in + n_wall;
    j->ny = 1;
    if (!take_columns(j)) {
        return EP_E_MEMORY;
    }
    for (int i = 0; i < j->nx; i++) {
        double in_m = i <= n_in ? half_m * i / n_in : half_m + v->wall_m * (i - n_in) / n_wall;
        double out_m =
            i < n_in ? half_m * (i + 1) / n_in : half_m + v->wall_m * (i + 1 - n_in) / n_wall;
        j->x_m[i] = 0.5 * (in_m + out_m);
        j->area_m2[i] = EP_PI * (out_m * out_m - in_m * in_m);
        j->len_m[0][i] = 2.0 * EP_PI * out_m;
        j->half_m[0][i] = 0.5 * (out_m - in_m);
    }
    return EP_OK;
}

static ep_status lay_squares(ep_jar *j)
{
    const ep_vessel *v = &j->c->vessel;
    const double g_m = j->c->grid_m;
    const double half_x_m = widest_half_m(v);
    const double half_y_m = ep_vessel_across_m(v, half_x_m);
    const bool cut_x = !j->c->whole_plan && mirrored(j->c, true);
    const bool cut_y = !j->c->whole_plan && mirrored(j->c, false);
    // two cells of margin hold the wall of the staircase
    int n_x = at_least((int)ceil((half_x_m + v->wall_m) / g_m) + 1, 4);
    int n_y = at_least((int)ceil((half_y_m + v->wall_m) / g_m) + 1, 4);
    j->rings = false;
    j->copies = (cut_x ? 2.0 : 1.0) * (cut_y ? 2.0 : 1.0);
    j->nx = cut_x ? n_x : 2 * n_x;
    j->ny = cut_y ? n_y : 2 * n_y;
    j->n_columns = j->nx * j->ny;
    if (!take_columns(j)) {
        return EP_E_MEMORY;
    }
    for (int c = 0; c < j->n_columns; c++) {
        int at_x = c % j->nx, at_y = c / j->nx;
        j->x_m[c] = (at_x + 0.5 - (cut_x ? 0 : n_x)) * g_m;
        j->y_m[c] = (at_y + 0.5 - (cut_y ? 0 : n_y)) * g_m;
        j->area_m2[c] = g_m * g_m;
        j->len_m[0][c] = j->len_m[1][c] = g_m;
        j->half_m[0][c] = j->half_m[1][c] = 0.5 * g_m;
    }
    return EP_OK;
}

int ep_jar_column_at(const ep_jar *j, double x_m, double y_m)
{
    if (j->rings) {
        double r_m = hypot(x_m, y_m);
        int i = 0;
        while (i + 1 < j->nx && j->x_m[i] + j->half_m[0][i] < r_m) {
            i++;
        }
        return i;
    }
    const double g_m = 2.0 * j->half_m[0][0];
    // a point beyond a mirror plane is its image
    double from_x = j->x_m[0] > 0.0 ? fabs(x_m) : x_m, from_y = j->y_m[0] > 0.0 ? fabs(y_m) : y_m;
    int at_x = (int)floor((from_x - j->x_m[0]) / g_m + 0.5);
    int at_y = (int)floor((from_y - j->y_m[0]) / g_m + 0.5);
    at_x = at_x < 0 ? 0 : (at_x >= j->nx ? j->nx - 1 : at_x);
    at_y = at_y < 0 ? 0 : (at_y >= j->ny ? j->ny - 1 : at_y);
    return at_y * j->nx + at_x;
}

static void set_neighbours(ep_jar *j)
{
    for (int c = 0; c < j->n_columns; c++) {
        int at_x = c % j->nx, at_y = c / j->nx;
        j->beside[SIDE_PLUS_X][c] = at_x + 1 < j->nx ? c + 1 : -1;
        j->beside[SIDE_MINUS_X][c] = at_x > 0 ? c - 1 : -1;
        j->beside[SIDE_PLUS_Y][c] = at_y + 1 < j->ny ? c + j->nx : -1;
        j->beside[SIDE_MINUS_Y][c] = at_y > 0 ? c - j->nx : -1;
    }
}

// wicks that stand in the part, with what of them lies in it; all of them shine
static void set_wicks(ep_jar *j)
{
    const ep_burn_case *c = j->c;
    const bool cut_x = !j->rings && j->x_m[0] > 0.0, cut_y = !j->rings && j->y_m[0] > 0.0;
    for (int a = 0; a < c->n_wicks; a++) {
        double x_m = c->place[a].x_m, y_m = c->place[a].y_m;
        bool inside = (!cut_x || x_m > -1e-6) && (!cut_y || y_m > -1e-6);
        if (!inside) {
            continue;
        }
        jar_wick *w = &j->wick[j->n_wicks++];
        w->x_m = x_m;
        w->y_m = y_m;
        w->share =
            (cut_x && fabs(x_m) < 1e-6 ? 0.5 : 1.0) * (cut_y && fabs(y_m) < 1e-6 ? 0.5 : 1.0);
        w->foot = ep_jar_column_at(j, x_m, y_m);
        w->flame = a;
    }
    for (int a = 0; a < c->n_wicks; a++) {
        jar_flame *f = &j->flame[j->n_flames++];
        f->x_m = c->place[a].x_m;
        f->y_m = c->place[a].y_m;
        double image_x = cut_x ? fabs(f->x_m) : f->x_m, image_y = cut_y ? fabs(f->y_m) : f->y_m;
        for (int w = 0; w < j->n_wicks; w++) {
            if (hypot(j->wick[w].x_m - image_x, j->wick[w].y_m - image_y) < 1e-5) {
                f->wick = w;
                j->wick[w].images++;
            }
        }
    }
}

ep_status ep_jar_lay_columns(ep_jar *j)
{
    ep_status s = ep_burn_case_rings(j->c) ? lay_rings(j) : lay_squares(j);
    if (s != EP_OK) {
        return s;
    }
    set_neighbours(j);
    set_wicks(j);
    for (int c = 0; c < j->n_columns; c++) {
        j->near_m[c] = (double)INFINITY;
        for (int f = 0; f < j->n_flames; f++) {
            j->near_m[c] = ep_min(j->near_m[c],
                                  hypot(j->x_m[c] - j->flame[f].x_m, j->y_m[c] - j->flame[f].y_m));
        }
    }
    return EP_OK;
}
