/// Shorthand for the case tables (src/app/*.def) and the prototypes of every case function.
///
/// A .def file lists cases of one subject:
///   CASE_ITEMS(profile_items, F(QUANTITY, "height", ...), ...)      fields of a list's elements
///   CASE_FIELDS(container_add, F(TEXT, "name", .required = true, ...), ...)
///   CASE(container_add, "POST", "/api/containers", "shelf", "add-container", WRITE, "Add ...")
///   CASE_PLAIN(today, "GET", ...)                                   a case without fields
///   CASE_FILE(csv_export, "GET", ..., READ, "text/csv", "Write ...")  its answer is a file
/// and the function is ep_status ep_case_container_add(ep_app *, const json_t *in, json_t **out,
/// ep_err *). The .def is named in cases.def; cases.c makes the one table from it.
#pragma once
#include "app/app.h"

/// One field row: F(QUANTITY, "wall", .unit = EP_U_MM, .min = 0.1, .max = 30, .label = "wall", ...)
#define F(kind_, name_, ...)                                                                       \
    {                                                                                              \
        .name = name_, .kind = EP_FIELD_##kind_, __VA_ARGS__                                       \
    }
#define F_PATH(name_, label_)                                                                      \
    F(ID, name_, .required = true, .path = true, .label = label_, .help = "")
/// The client's id of a new row; of the request where `id` is already the path.
#define F_NEW_ID                                                                                   \
    F(ID, "id", .choices = "uuid", .label = "id",                                                  \
      .help = "made by the client, UUID; may be left out")
#define F_REQUEST_ID                                                                               \
    F(ID, "request_id", .choices = "uuid", .label = "request id",                                  \
      .help = "made by the client, UUID; may be left out")
#define F_ITEMS(array_) .item = array_, .n_items = (int)(sizeof(array_) / sizeof((array_)[0]))

#define CASE_ITEMS(name, ...)
#define CASE_FIELDS(name, ...)
#define CASE(name, method, path, group, verb, needs, summary)                                      \
    ep_status ep_case_##name(ep_app *app, const json_t *in, json_t **out, ep_err *err);
#define CASE_PLAIN CASE
#define CASE_FILE(name, method, path, group, verb, needs, type, summary)                           \
    CASE(name, method, path, group, verb, needs, summary)
#include "app/cases.def"
#undef CASE_ITEMS
#undef CASE_FIELDS
#undef CASE
#undef CASE_PLAIN
#undef CASE_FILE
