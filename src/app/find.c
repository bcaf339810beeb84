// From what a person typed to an id: the id itself, a name (case does not matter), a lot's code.
#include <stdio.h>
#include <string.h>

#include "app/app_int.h"
#include "base/text.h"

bool ep_means_none(const char *text)
{
    return !text || text[0] == '\0' || strcasecmp(text, "none") == 0;
}

typedef struct hunt {
    const char *text, *field;
    const char *noun;  ///< "recipe", for the error
    int hits, archived_hits;
    char id[EP_ID_CAP], archived_id[EP_ID_CAP];
    char known[200];  ///< names there are, for the error
    char alike[160];  ///< those of them that hold what was typed
    int left_out;     ///< names that found no room
} hunt;

static hunt hunt_for(const char *text, const char *field, const char *noun)
{
    hunt h = {.text = text, .field = field, .noun = noun};
    return h;
}

static bool add_name(char *list, size_t cap, const char *name)
{
    size_t len = strlen(list);
    if (len + strlen(name) + 3 > cap) {
        return false;
    }
    snprintf(list + len, cap - len, "%s%s", len ? "; " : "", name);
    return true;
}

/// Offer one candidate. An id ends the hunt, names are counted.
static bool offer(hunt *h, const char *id, const char *name, bool archived)
{
    if (strcmp(id, h->text) == 0) {
        h->hits = 1;
        ep_copy(h->id, sizeof h->id, id);
        return true;
    }
    bool named = strcasecmp(name, h->text) == 0;
    if (archived) {
        if (named) {
            h->archived_hits++;
            ep_copy(h->archived_id, sizeof h->archived_id, id);
        }
        return false;
    }
    if (named) {
        h->hits++;
        ep_copy(h->id, sizeof h->id, id);
    }
    if (strcasestr(name, h->text)) {
        add_name(h->alike, sizeof h->alike, name);
    }
    h->left_out += !add_name(h->known, sizeof h->known, name);
    return false;
}

static ep_status end_hunt(const hunt *h, char id[EP_ID_CAP], ep_err *err)
{
    char said[80];
    ep_text_excerpt(h->text, said, sizeof said);
    if (h->hits == 0 && h->archived_hits == 1) {
        ep_copy(id, EP_ID_CAP, h->archived_id);  // its name is still its own
        return EP_OK;
    }
    if (h->hits == 0) {
        const bool alike = h->alike[0] != '\0';
        char more[24] = "";
        if (!alike && h->left_out > 0) {
            snprintf(more, sizeof more, "; and %d more", h->left_out);
        }
        return ep_err_set(err, EP_E_NOT_FOUND, h->field, "%s: there is no %s “%s”%s%s%s", h->field,
                          h->noun, said,
                          alike         ? "; close to it: "
                          : h->known[0] ? "; there is: "
                                        : "",
                          alike ? h->alike : h->known, more);
    }
    if (h->hits > 1) {
        return ep_err_set(err, EP_E_ARG, h->field, "%s: %d %s are called “%s”; give the id instead",
                          h->field, h->hits, h->noun, said);
    }
    ep_copy(id, EP_ID_CAP, h->id);
    return EP_OK;
}

/// Walk rows with id and name.
static ep_status hunt_rows(ep_app *app, hunt *h, ep_query query, const ep_bind *bind, int n,
                           ep_err *err)
{
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, query, bind, n, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        const char *id = ep_row_text(row, "id");
        if (offer(h, id, ep_row_text(row, "name"), ep_app_archived(app, id))) {
            break;
        }
    }
    json_decref(rows);
    return status;
}

ep_status ep_find_material(ep_app *app, int kind, const char *text, const char *field,
                           char id[EP_ID_CAP], ep_err *err)
{
    const char *key = kind < 0 ? NULL : ep_material_kind_key((ep_material_kind)kind);
    const char *noun = kind == EP_MAT_CONTAINER ? "container material"
                       : kind == EP_MAT_WICK    ? "wick construction"
                       : key                    ? key
                                                : "material";
    hunt h = hunt_for(text, field, noun);
    ep_bind bind[] = {ep_bind_text("kind", key)};
    ep_status status = hunt_rows(app, &h, EP_Q_MATERIAL_LIST, bind, 1, err);
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}

ep_status ep_find_series(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                         ep_err *err)
{
    hunt h = hunt_for(text, field, "wick series");
    ep_status status = hunt_rows(app, &h, EP_Q_SERIES_LIST, NULL, 0, err);
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}

ep_status ep_find_size(ep_app *app, const char *series_id, const char *text, const char *field,
                       char id[EP_ID_CAP], ep_err *err)
{
    hunt h = hunt_for(text, field, "wick size");
    ep_bind bind[] = {ep_bind_text("series", series_id)};
    ep_status status = hunt_rows(app, &h, EP_Q_SERIES_SIZES, bind, 1, err);
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}

ep_status ep_find_container(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                            ep_err *err)
{
    hunt h = hunt_for(text, field, "container");
    ep_status status = hunt_rows(app, &h, EP_Q_CONTAINER_LIST, NULL, 0, err);
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}

ep_status ep_find_recipe(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                         ep_err *err)
{
    hunt h = hunt_for(text, field, "recipe");
    // recipe names are unique, so an archived one can still be named
    ep_bind bind[] = {ep_bind_text("name", text)};
    json_t *row = NULL;
    ep_status status = ep_store_one(app->store, EP_Q_RECIPE_NAMED, bind, 1, &row, err);
    if (status == EP_OK) {
        ep_copy(id, EP_ID_CAP, ep_row_text(row, "id"));
        json_decref(row);
        return EP_OK;
    }
    if (status == EP_E_NOT_FOUND) {
        status = hunt_rows(app, &h, EP_Q_RECIPE_LIST, NULL, 0, err);
    }
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}

ep_status ep_find_lot(ep_app *app, const char *text, const char *field, char id[EP_ID_CAP],
                      ep_err *err)
{
    hunt h = hunt_for(text, field, "lot");
    ep_bind none[] = {ep_bind_null("thing")};
    json_t *rows = NULL;
    ep_status status = ep_store_json(app->store, EP_Q_LOT_LIST, none, 1, &rows, err);
    size_t i;
    json_t *row;
    json_array_foreach(rows, i, row)
    {
        if (offer(&h, ep_row_text(row, "id"), ep_row_text(row, "code"), false)) {
            break;
        }
    }
    json_decref(rows);
    return status == EP_OK ? end_hunt(&h, id, err) : status;
}
