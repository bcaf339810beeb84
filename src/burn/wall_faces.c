// The wall's upright faces: towards the open jar and towards the room. They never move, so areas
// and lines of sight to the flames are worked out once.
#include <math.h>

#include "burn/jar_int.h"

// outward normal of a side seen from the column that has the face
static void normal_of(int side, double *nx, double *ny)
{
    *nx = side == SIDE_PLUS_X ? 1.0 : (side == SIDE_MINUS_X ? -1.0 : 0.0);
    *ny = side == SIDE_PLUS_Y ? 1.0 : (side == SIDE_MINUS_Y ? -1.0 : 0.0);
}

void ep_jar_sight(const ep_jar *j, int column, int side, double *away_m, double *facing)
{
    double nx = 0.0, ny = 0.0;
    normal_of(side, &nx, &ny);
    const double x_m = j->x_m[column] + nx * j->half_m[0][column];
    const double y_m = j->y_m[column] + ny * j->half_m[1][column];
    for (int n = 0; n < j->n_flames; n++) {
        double dx_m = j->flame[n].x_m - x_m, dy_m = j->flame[n].y_m - y_m;
        away_m[n] = ep_max(hypot(dx_m, dy_m), 1e-3);
        facing[n] = (dx_m * nx + dy_m * ny) / away_m[n];
    }
}

static unsigned char space_beside(const ep_jar *j, int column, int side, int k)
{
    int beside = ep_jar_beside(j, column, side);
    if (beside >= 0) {
        return j->space[ep_at(j->f, beside, k)];
    }
    // the minus edges of the grid are the axis or mirror planes: no face of the jar
    bool open = side == SIDE_PLUS_X || (side == SIDE_PLUS_Y && !j->rings);
    return open ? JAR_OUTSIDE : JAR_WALL;
}

static void set_face(const ep_jar *j, int column, int side, int k, wall_face *f)
{
    bool inside = space_beside(j, column, side, k) == JAR_WAX_SPACE;
    *f = (wall_face){.column = column,
                     .k = k,
                     .inner = inside ? (int)ep_at(j->f, ep_jar_beside(j, column, side), k) : -1,
                     .grid_m2 = ep_jar_face_m(j, column, side) * ep_jar_dz_m(j, k),
                     .half_m = j->half_m[side >= SIDE_PLUS_Y][column]};
    f->area_m2 = f->grid_m2 * (inside ? j->contact[k] : j->outer_m2[k]);
    if (inside) {
        ep_jar_sight(j, column, side, f->away_m, f->facing);
    }
}

// counts, and writes when the lists are there
static void walk(ep_jar *j)
{
    j->n_inner_faces = j->n_outer_faces = 0;
    for (int c = 0; c < j->n_columns; c++) {
        for (int k = 0; k < j->nz; k++) {
            if (j->space[ep_at(j->f, c, k)] != JAR_WALL) {
                continue;
            }
            for (int side = 0; side < SIDES; side++) {
                unsigned char space = space_beside(j, c, side, k);
                if (space == JAR_WALL || !(ep_jar_face_m(j, c, side) > 0.0)) {
                    continue;
                }
                bool inside = space == JAR_WAX_SPACE;
                wall_face *list = inside ? j->inner_face : j->outer_face;
                int *n = inside ? &j->n_inner_faces : &j->n_outer_faces;
                if (list) {
                    set_face(j, c, side, k, &list[*n]);
                }
                (*n)++;
            }
        }
    }
}

ep_status ep_jar_lay_faces(ep_jar *j)
{
    walk(j);
    size_t inner = (size_t)j->n_inner_faces, outer = (size_t)j->n_outer_faces;
    j->inner_face = ep_arena_alloc(&j->arena, inner + 1, sizeof *j->inner_face);
    j->outer_face = ep_arena_alloc(&j->arena, outer + 1, sizeof *j->outer_face);
    if (!j->inner_face || !j->outer_face) {
        return EP_E_MEMORY;
    }
    walk(j);
    return EP_OK;
}
