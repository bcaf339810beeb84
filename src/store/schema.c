// The numbered steps of the schema, embedded at build time from src/store/schema/NNN.sql.
#include "store/store_int.h"

extern const unsigned char ep_schema_001[], ep_schema_002[], ep_schema_003[], ep_schema_004[],
    ep_schema_005[], ep_schema_006[], ep_schema_007[], ep_schema_008[];

const ep_migration *ep_store_migrations(int *n)
{
    static const ep_migration steps[] = {
        {1, (const char *)ep_schema_001}, {2, (const char *)ep_schema_002},
        {3, (const char *)ep_schema_003}, {4, (const char *)ep_schema_004},
        {5, (const char *)ep_schema_005}, {6, (const char *)ep_schema_006},
        {7, (const char *)ep_schema_007}, {8, (const char *)ep_schema_008},
    };
    *n = EP_COUNT_OF(steps);
    return steps;
}
