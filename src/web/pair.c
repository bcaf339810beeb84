// Answers completed by the door.
#include "web/pair.h"

#include <qrcodegen/qrcodegen.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "web/entry.h"

enum { MARGIN = 4, QR_VERSION_MAX = 10 };

static bool is_case(const ep_use_case *c, const char *name)
{
    return strcmp(c->name, name) == 0;
}

// one row of modules as runs: "M4 4h7v1h-7z"
static void draw_row(ep_text *t, const uint8_t *qr, int y)
{
    int size = qrcodegen_getSize(qr);
    for (int x = 0; x < size; x++) {
        int from = x;
        while (x < size && qrcodegen_getModule(qr, x, y)) {
            x++;
        }
        if (x > from) {
            ep_text_addf(t, "M%d %dh%dv1h-%dz", from + MARGIN, y + MARGIN, x - from, x - from);
        }
    }
}

json_t *ep_pair_qr(const char *text)
{
    uint8_t qr[qrcodegen_BUFFER_LEN_FOR_VERSION(QR_VERSION_MAX)];
    uint8_t scratch[qrcodegen_BUFFER_LEN_FOR_VERSION(QR_VERSION_MAX)];
    if (!qrcodegen_encodeText(text, scratch, qr, qrcodegen_Ecc_MEDIUM, qrcodegen_VERSION_MIN,
                              QR_VERSION_MAX, qrcodegen_Mask_AUTO, true)) {
        return NULL;
    }
    int side = qrcodegen_getSize(qr) + 2 * MARGIN;
    ep_text t;
    ep_text_init(&t);
    // black on white whatever the page's colours are: phones read nothing else reliably
    ep_text_addf(&t,
                 "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" "
                 "shape-rendering=\"crispEdges\"><path fill=\"#fff\" d=\"M0 0h%dv%dH0z\"/>"
                 "<path fill=\"#000\" d=\"",
                 side, side, side, side);
    for (int y = 0; y < qrcodegen_getSize(qr); y++) {
        draw_row(&t, qr, y);
    }
    ep_text_add(&t, "\"/></svg>");
    json_t *svg = t.ok ? json_string(ep_text_str(&t)) : NULL;
    ep_text_clear(&t);
    return svg;
}

// every address, then the machine's name, which some phones cannot resolve; by https where the door
// speaks it, except where a device is still to learn to trust it
static json_t *urls_of(const ep_api *api, const ep_lan *lan, bool encrypted, const char *path,
                       bool picture)
{
    json_t *list = json_array();
    int n = lan ? lan->n + (lan->name[0] != '\0') : 0;
    for (int i = 0; i < n; i++) {
        char base[96], url[192];
        snprintf(
            url, sizeof url, "%s%s",
            ep_lan_url(lan, i, encrypted, encrypted ? api->tls_port : api->port, base, sizeof base),
            path);
        json_t *o = json_pack("{s:s, s:s}", "url", url, "interface",
                              i < lan->n ? lan->address[i].interface : "");
        if (picture) {
            json_t *qr = ep_pair_qr(url);
            json_object_set_new(o, "qr", qr ? qr : json_null());
        }
        json_array_append_new(list, o);
    }
    return list;
}

// for the computer: whom a device must trust, and the picture of the page that says how
static json_t *trust_of(const ep_api *api, const ep_http_req *rq)
{
    char until[32];
    if (!api->authority) {
        return json_null();
    }
    bool here = !rq->visitor || rq->visitor->who == EP_WHO_HERE;
    ep_time_format(ep_authority_until(api->authority), until, sizeof until);
    return json_pack("{s:s, s:s, s:s, s:o}", "name", ep_authority_name(api->authority),
                     "fingerprint", ep_authority_fingerprint(api->authority), "until", until,
                     "urls", here ? urls_of(api, rq->lan, false, "/trust", true) : json_array());
}

static json_t *door_of(const ep_api *api, const ep_http_req *rq)
{
    json_t *device = json_null();
    if (rq->visitor && rq->visitor->id[0]) {
        device = json_pack("{s:s, s:s}", "id", rq->visitor->id, "name", rq->visitor->name);
    }
    return json_pack("{s:s, s:o, s:b, s:b, s:o, s:o}", "who",
                     ep_who_name(rq->visitor ? rq->visitor->who : EP_WHO_HERE), "device", device,
                     "lan", rq->lan != NULL, "encrypted", rq->encrypted, "urls",
                     urls_of(api, rq->lan, api->authority != NULL, "/", false), "trust",
                     trust_of(api, rq));
}

static void complete_invite(const ep_api *api, const ep_http_req *rq, json_t *out)
{
    const char *path = json_string_value(json_object_get(out, "path"));
    json_t *urls = urls_of(api, rq->lan, api->authority != NULL, path ? path : "", true);
    const char *note = "";
    if (!rq->lan) {
        note = "This workshop answers its own computer only. Stop it and start it with "
               "evenpool serve --lan, then make a new code.";
    } else if (json_array_size(urls) == 0) {
        note = "This computer is in no network: connect it first.";
    }
    json_object_set_new(out, "urls", urls);
    json_object_set_new(out, "note", *note ? json_string(note) : json_null());
}

void ep_pair_complete(const ep_api *api, const ep_use_case *c, const ep_http_req *rq, json_t *out,
                      char *cookie, size_t cap)
{
    cookie[0] = '\0';
    if (is_case(c, "about")) {
        json_object_set_new(out, "door", door_of(api, rq));
    } else if (is_case(c, "device_invite")) {
        complete_invite(api, rq, out);
    } else if (is_case(c, "device_wait")) {
        const char *token = json_string_value(json_object_get(out, "token"));
        if (token) {
            ep_entry_set_cookie(api, rq, token, cookie, cap);
        }
        // pages never hold it: a script that got in could not carry it away
        json_object_del(out, "token");
    }
}

bool ep_pair_is_news(const ep_use_case *c, const json_t *out)
{
    if (is_case(c, "csv_check")) {
        return false;  // a trial changes nothing
    }
    return !is_case(c, "device_wait") || json_object_get(out, "token") != NULL;
}
