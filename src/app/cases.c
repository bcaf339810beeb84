// The one table of use cases, made from src/app/*.def: first the field lists, then the rows.
#include "app/cases_int.h"

#include <string.h>

#include "app/app_int.h"

#define CASE_ITEMS(name, ...)  static const ep_field name[] = {__VA_ARGS__};
#define CASE_FIELDS(name, ...) static const ep_field fields_##name[] = {__VA_ARGS__};
#define CASE(...)
#define CASE_PLAIN(...)
#define CASE_FILE(...)
#include "app/cases.def"
#undef CASE_ITEMS
#undef CASE_FIELDS
#undef CASE
#undef CASE_PLAIN
#undef CASE_FILE

#define CASE_ITEMS(...)
#define CASE_FIELDS(...)
#define CASE_FILE(name, method, path, group, verb, needs, type, summary)                           \
    {#name,                                                                                        \
     method,                                                                                       \
     path,                                                                                         \
     group,                                                                                        \
     verb,                                                                                         \
     EP_NEEDS_##needs,                                                                             \
     fields_##name,                                                                                \
     (int)(sizeof fields_##name / sizeof fields_##name[0]),                                        \
     ep_case_##name,                                                                               \
     summary,                                                                                      \
     type},
#define CASE(name, method, path, group, verb, needs, summary)                                      \
    CASE_FILE(name, method, path, group, verb, needs, NULL, summary)
#define CASE_PLAIN(name, method, path, group, verb, needs, summary)                                \
    {#name, method, path, group, verb, EP_NEEDS_##needs, NULL, 0, ep_case_##name, summary, NULL},

static const ep_use_case table[] = {
#include "app/cases.def"
};

const ep_use_case *ep_use_cases(int *n)
{
    *n = (int)(sizeof table / sizeof table[0]);
    return table;
}

const ep_use_case *ep_use_case_find(const char *name)
{
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (strcmp(table[i].name, name) == 0) {
            return &table[i];
        }
    }
    return NULL;
}
