// The page before trust. It runs no script and needs nothing from elsewhere, because a browser
// shows it before it believes anything. The number to compare is not on it: who could change this
// page on its way could change the number too.
#include "web/trust.h"

#include <string.h>

#include "base/text.h"
#include "web/authority.h"
#include "web/guard.h"

// saved under this name; no "attachment", because some phones then put it among the files instead
// of asking whether to install it
#define AUTHORITY "evenpool-authority.crt"

static const char style[] =
    ":root{color-scheme:light dark}"
    "body{font:1.0625rem/1.5 system-ui,sans-serif;max-width:38rem;margin:0 auto;"
    "padding:1rem 1rem 3rem;background:#faf6ef;color:#2b2620}"
    "h1{font-size:1.5rem;line-height:1.25}h2{font-size:1.15rem;margin:2rem 0 .4rem}"
    "li{margin:.4rem 0}ol,ul{padding-left:1.4rem}"
    "a{color:#7a3b12}"
    ".get{display:inline-block;padding:.7rem 1.1rem;border-radius:.5rem;background:#7a3b12;"
    "color:#fff;text-decoration:none;font-weight:600}"
    ".go{overflow-wrap:anywhere;font-weight:600}"
    ".mind{border-left:.25rem solid #b4642d;padding:.1rem 0 .1rem .9rem}"
    "@media(prefers-color-scheme:dark){body{background:#1d1a17;color:#ece5da}a{color:#f0b27f}"
    ".get{background:#f0b27f;color:#1d1a17}}\n";

static const char head[] =
    "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">"
    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">"
    "<title>Evenpool: before this device comes in</title>"
    "<link rel=\"stylesheet\" href=\"/trust.css\"></head><body><main>\n"
    "<h1>Before this device comes in</h1>\n"
    "<p>This workshop speaks to phones encrypted (https). For that, this device must be told once "
    "that it may believe the workshop’s computer. This page itself came unencrypted and holds "
    "nothing of the workshop.</p>\n"
    "<p class=\"mind\">Do this only with a device of your own, in a network of your own, and only "
    "if "
    "somebody at the workshop’s computer is expecting it.</p>\n";

static const char steps[] =
    "<h2>1. Get the certificate</h2>\n"
    "<p><a class=\"get\" href=\"/" AUTHORITY "\">Get the certificate</a></p>\n"
    "<p>It is a small file, <b>" AUTHORITY "</b>. The name inside is <b>%s</b>. "
    "If the browser asks, allow the download.</p>\n"
    "<h2>2. Install it</h2>\n"
    "<p>Open your phone’s settings for certificates. They stand in another place on every phone; "
    "the "
    "search in the settings finds <i>certificate</i>.</p>\n"
    "<ol>"
    "<li>If the download is offered to you as something to install, or as a <i>profile</i>, take "
    "that way. Else choose to install a certificate of an authority (<i>CA certificate</i>), not "
    "one for Wi-Fi or a user, and pick the file among the downloads.</li>"
    "<li>The phone warns you; see below what that means here. It may ask for your screen "
    "lock.</li>"
    "<li>Before you say yes for good, or right after, touch the certificate to see its details and "
    "compare the number (step 3).</li>"
    "<li>Some phones ask a second time: search the settings for <i>trust</i> and switch this "
    "certificate on for websites.</li></ol>\n"
    "<p>A computer: import the file in the browser’s settings under <i>certificates, "
    "authorities</i>, for websites only.</p>\n"
    "<h2>3. Compare the number</h2>\n"
    "<p>At the workshop’s computer, under <i>Settings, Devices</i>, stands the certificate’s "
    "number (<i>SHA-256 fingerprint</i>). The one your device shows in the certificate’s details "
    "must be the same, to the last pair. It is not on this page on purpose: who could change the "
    "certificate on its way could change the page too. <b>If they differ, remove the certificate "
    "and do not go on.</b></p>\n"
    "<h2>4. Come in</h2>\n"
    "<p>Open <a class=\"go\" href=\"%s/\">%s/</a>. If it opens without a warning, all is well. "
    "Then "
    "make a code at the computer and let this device in.</p>\n"
    "<p>If the browser warns, do not go on past the warning: the certificate is not trusted "
    "yet.</p>\n";

static const char meaning[] =
    "<h2>What you allow</h2>\n<ul>"
    "<li>The workshop’s computer may vouch for pages on this device. By its own terms only for "
    "addresses of home networks (10.…, 172.16 to 172.31.…, 192.168.…, 169.254.…, and those the "
    "computer had when it was made) and names ending in <i>.local</i>: not for your bank, mail or "
    "any other name of the internet.</li>"
    "<li>Who copies the key from the computer could pretend to be such a page, to the devices that "
    "trust it.</li>"
    "<li>Your phone’s warning is written for certificates without such limits. It may stay as a "
    "note in its settings.</li>"
    "<li><b>To take it back</b>: remove the certificate in the same settings. Do it before you "
    "give "
    "the device away.</li></ul>\n"
    "</main></body></html>\n";

bool ep_trust_is_all(const ep_api *api, const ep_http_req *rq)
{
    return api->authority && rq->lan && !rq->encrypted &&
           !(ep_lan_is_self(rq->peer_ip) && ep_guard_is_loopback(rq));
}

static bool is_target(const ep_target *t, const char *name)
{
    return t->n_segments == 1 && strcmp(t->segment[0], name) == 0;
}

bool ep_trust_is_part(const ep_api *api, const ep_target *target)
{
    return api->authority && (is_target(target, "trust") || is_target(target, "trust.css") ||
                              is_target(target, AUTHORITY));
}

static void answer_page(const ep_api *api, const ep_http_req *rq, ep_http_reply *reply)
{
    // the guard let only names of this machine pass, so they can stand in the page as they are
    char https[128];
    size_t len = 0;
    const char *host = ep_guard_host(rq, &len);
    ep_text name;
    ep_text_init(&name);
    for (const char *c = ep_authority_name(api->authority); *c; c++) {
        ep_text_addf(&name, strchr("<>&\"", *c) ? "&#%d;" : "%c", *c);
    }
    snprintf(https, sizeof https, "https://%.*s:%d", (int)len, host, api->tls_port);
    ep_text t;
    ep_text_init(&t);
    ep_text_add(&t, head);
    ep_text_addf(&t, steps, ep_text_str(&name), https, https);
    ep_text_add(&t, meaning);
    ep_text_clear(&name);
    if (!t.ok) {
        ep_err err = {.status = EP_E_MEMORY, .text = "out of memory"};
        ep_text_clear(&t);
        ep_http_reply_error(reply, 500, &err);
        return;
    }
    *reply = (ep_http_reply){.status = 200,
                             .type = "text/html; charset=utf-8",
                             .body = t.data,
                             .len = t.len,
                             .owned = t.data};
}

void ep_trust_answer(const ep_api *api, const ep_http_req *rq, const ep_target *target,
                     ep_http_reply *reply)
{
    if (is_target(target, AUTHORITY)) {
        *reply = (ep_http_reply){.status = 200, .type = "application/x-x509-ca-cert"};
        reply->body = ep_authority_der(api->authority, &reply->len);
    } else if (is_target(target, "trust.css")) {
        *reply = (ep_http_reply){.status = 200,
                                 .type = "text/css; charset=utf-8",
                                 .body = style,
                                 .len = sizeof style - 1};
    } else {
        answer_page(api, rq, reply);
    }
}
