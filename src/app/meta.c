// About this program, and the cautions that stand where the danger is.
//
// The wording is ours; what it warns of is the usual advice for melting wax, for test burns and for
// hot glass. It replaces neither local rules nor an insurer's terms nor a laboratory.
#include <string.h>

#include "app/app_int.h"
#include "app/devices.h"
#include "burn/burn.h"

static const char *const melting[] = {
    "Melt wax in a water bath or a melter with a thermostat, never over an open flame, and stay "
    "with it.",
    ("Keep a thermometer in the wax. Above 121 C (250 F), or within 40 K of the flash point on its "
     "safety "
     "data sheet, take it off the heat."),
    "Never put water on burning wax: heat off, lid or fire blanket on, extinguisher for class B "
    "fires.",
    ("Keep everything dry: drops of water make hot wax spit. Cool a wax burn under running water "
     "and do "
     "not pull the wax off."),
};

static const char *const burning[] = {
    ("Never leave a lit candle alone: keep it in sight, on a base that cannot burn, out of "
     "draughts, away "
     "from anything that can catch fire, from children and from pets."),
    "Have a lid, a fire blanket and an extinguisher within reach before you light a test.",
    "Put it out at once at a tall or second flame, heavy soot, a cracked or very hot container.",
    ("A passed test speaks for the candles that were burned. Your local rules, your insurer and an "
     "accredited laboratory decide what may be sold."),
};

static const char *const glass[] = {
    "Hot glass looks like cold glass: measure it with an instrument, move it only when it has "
    "cooled.",
    ("Use containers their maker offers for candles, and look for cracks, chips and scratches "
     "before each "
     "use."),
    "Stop before the last wax: a flame at the bottom can crack a container.",
};

static void add_all(json_t *list, const char *const *text, int n)
{
    for (int i = 0; i < n; i++) {
        json_array_append_new(list, json_string(text[i]));
    }
}

void ep_cautions_add(json_t *list, ep_caution kind)
{
    switch (kind) {
    case EP_CAUTION_MELTING:
        add_all(list, melting, EP_COUNT_OF(melting));
        break;
    case EP_CAUTION_BURNING:
        add_all(list, burning, EP_COUNT_OF(burning));
        break;
    case EP_CAUTION_GLASS:
        add_all(list, glass, EP_COUNT_OF(glass));
        break;
    }
}

void ep_cautions_short_trim(json_t *list, double trim_m)
{
    if (trim_m < EP_SHORT_TRIM_M) {
        char text[32];
        json_array_append_new(
            list, json_sprintf("Trimmed to %s the wick is short: melt climbs it by a millimetre or "
                               "more and can put it out. Forecasts do not know that and promise "
                               "too much.",
                               ep_quantity_format(trim_m, EP_U_MM, 3, text, sizeof text)));
    }
}

json_t *ep_cautions(ep_caution kind)
{
    json_t *list = json_array();
    ep_cautions_add(list, kind);
    return list;
}

ep_status ep_case_about(ep_app *app, const json_t *in, json_t **out, ep_err *err)
{
    (void)in;
    json_t *o = json_object();
    json_t *cautions = json_object();
    if (!o || !cautions) {
        json_decref(o);
        json_decref(cautions);
        return ep_err_set(err, EP_E_MEMORY, "", "out of memory");
    }
    ep_out_text(o, "version", EP_VERSION);
    ep_out_text(o, "engine", EP_ENGINE_VERSION);
    ep_out_text(o, "tables", ep_tables_version());
    // the file's name only: other devices need not know the folders of this one
    const char *path = ep_store_path(app->store);
    const char *slash = strrchr(path, '/');
    ep_out_text(o, "database", slash ? slash + 1 : path);
    ep_out_text(o, "library", ep_store_library());
    ep_out_int(o, "schema", ep_store_schema(app->store));
    ep_out_time(o, "now", ep_app_now(app));
    ep_out_bool(o, "demo", app->demo);
    ep_out_new(cautions, "melting", ep_cautions(EP_CAUTION_MELTING));
    ep_out_new(cautions, "burning", ep_cautions(EP_CAUTION_BURNING));
    ep_out_new(cautions, "glass", ep_cautions(EP_CAUTION_GLASS));
    ep_out_new(o, "cautions", cautions);
    ep_out_new(o, "phone", ep_phone_note());
    *out = o;
    return EP_OK;
}
