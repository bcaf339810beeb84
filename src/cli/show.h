/// Turns the JSON a use case gives back into text for a terminal: one generic renderer for
/// everything, and hand-made ones for the answers a maker looks at every day.
/// Needs: base, app, jansson. Writes only into its own text; printing is main's business.
#pragma once
#include <jansson.h>

#include "app/app.h"
#include "base/text.h"

typedef struct ep_show {
    ep_text out;
    int width;    ///< columns to stay within, at least 40
    bool colour;  ///< escape sequences allowed
    bool utf8;    ///< the terminal shows more than ASCII
    bool us;      ///< inches, ounces, Fahrenheit instead of mm, g, C
} ep_show;

typedef enum ep_tone {
    EP_TONE_PLAIN,
    EP_TONE_BOLD,
    EP_TONE_FAINT,
    EP_TONE_WARN,
    EP_TONE_STOP
} ep_tone;

/// Render the answer of a use case (chosen by its command) into show->out.
void ep_show_answer(ep_show *show, const ep_use_case *c, json_t *answer);

/// Does the answer hold something a script must hear about? A stop-now finding of a real candle, or
/// a water fill that does not agree with the tape. Then the program ends with 1.
bool ep_show_has_finding(const json_t *answer);

// --- words and numbers ---

/// Columns a text takes on the terminal.
int ep_show_columns(const char *text);

/// "fill_mass_g" -> label "fill mass", unit "g". unit is static text, "" when the key has none.
const char *ep_show_label(const char *key, char *label, size_t cap);

/// A number with its unit as shown: "76.2 mm", "8 %", "3 in" when US units are asked for.
/// unit is one of the units ep_show_label gives. Returns buf.
const char *ep_show_quantity(const ep_show *show, double value, const char *unit, char *buf,
                             size_t cap);

/// The number alone, and the unit it is in after a switch to US units. Returns the unit.
const char *ep_show_number(const ep_show *show, double value, const char *unit, char *buf,
                           size_t cap);

/// The same with a set number of decimals, for columns.
const char *ep_show_fixed(const ep_show *show, double value, const char *unit, int decimals,
                          char *buf, size_t cap);

/// A scalar of JSON as text: "-" for null, yes/no, times in local time, else as it is. Returns buf.
const char *ep_show_scalar(const ep_show *show, const json_t *value, const char *unit, char *buf,
                           size_t cap);

/// Text in a tone; plain without colour.
void ep_show_tone(ep_show *show, ep_tone tone, const char *text);
const char *ep_show_toned(const ep_show *show, ep_tone tone, const char *text, char *buf,
                          size_t cap);  ///< the same into buf; returns buf
void ep_show_heading(ep_show *show, const char *text);

/// A paragraph broken at blanks, each line after `indent` blanks; `first` stands before the first.
void ep_show_wrap(ep_show *show, int indent, const char *first, const char *text);

/// The same for a sentence of the program: its quantities in US units when those are asked for.
void ep_show_say(ep_show *show, int indent, const char *first, const char *text);

/// A bar of `cells` columns, filled to share 0..1.
void ep_show_bar(ep_show *show, double share, int cells);

// --- members of an object ---

/// Number of a member; false when it is missing or null.
bool ep_show_get(const json_t *object, const char *key, double *out);
const char *ep_show_get_text(const json_t *object, const char *key);  ///< never NULL

// --- the renderers ---

void ep_show_object(ep_show *show, json_t *object, int indent);
void ep_show_rows(ep_show *show, json_t *array, int indent);
void ep_show_list(ep_show *show, const char *heading, json_t *array);
void ep_show_findings(ep_show *show, json_t *findings);
void ep_show_verdict(ep_show *show, json_t *verdict);
void ep_show_sizes(ep_show *show, json_t *sizes);

void ep_show_predict(ep_show *show, json_t *answer);
void ep_show_odds(ep_show *show, json_t *answer);
void ep_show_candidates(ep_show *show, json_t *answer);
void ep_show_plan(ep_show *show, json_t *answer);
void ep_show_judge(ep_show *show, json_t *answer);
void ep_show_readings(ep_show *show, json_t *answer);
void ep_show_today(ep_show *show, json_t *answer);
void ep_show_weighout(ep_show *show, json_t *answer);
