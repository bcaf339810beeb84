// "serve": the HTTP door until somebody stops it.
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli/run.h"
#include "web/lan.h"
#include "web/web.h"

extern char **environ;

// show the page when somebody sits at a desktop; a program that is not there is no failure
static void open_browser(const char *address)
{
    if (!getenv("DISPLAY") && !getenv("WAYLAND_DISPLAY")) {
        return;
    }
    char program[] = "xdg-open";
    char target[64];
    snprintf(target, sizeof target, "%s", address);
    char *argv[] = {program, target, NULL};
    pid_t child = 0;
    if (posix_spawnp(&child, program, NULL, NULL, argv, environ) == 0) {
        waitpid(child, NULL, 0);
    }
}

// the certificate authority stands beside the workshop's file and never in it: who copies the
// workshop does not copy the key
static const char *authority_path(const ep_args *a, char *buf, size_t cap)
{
    const char *db = ep_workshop_path(&a->on);
    int n = snprintf(buf, cap, "%s.authority.pem", db);
    return strcmp(db, ":memory:") != 0 && n > 0 && (size_t)n < cap ? buf : NULL;
}

// options that do not go together are told before a workshop is opened or made
static ep_status start(const ep_args *a, ep_clock_scale *scale, ep_app **app, ep_web **web,
                       ep_err *err)
{
    char path[4096];
    int n = 0;
    const ep_use_case *cases = ep_use_cases(&n);
    const json_t *port = json_object_get(a->in, "port");
    ep_web_config config = {
        .port = port ? (int)json_integer_value(port) : EP_WEB_DEFAULT_PORT,
        .lan = json_is_true(json_object_get(a->in, "lan")),
        .tls = json_is_true(json_object_get(a->in, "tls")),
        .tls_port = (int)json_integer_value(json_object_get(a->in, "tls_port")),
        .authority_path = authority_path(a, path, sizeof path),
        .assets_dir = json_string_value(json_object_get(a->in, "assets")),
        .cases = cases,
        .n_cases = n,
    };
    ep_status s = ep_web_check(&config, err);
    if (s == EP_OK) {
        s = ep_workshop_open(&a->on, json_is_true(json_object_get(a->in, "demo")), scale, app, err);
    }
    config.app = *app;
    return s == EP_OK ? ep_web_start(&config, web, err) : s;
}

// said once, when the authority was just made, and how it is called at every start
static void announce_tls(const ep_args *a, const ep_web *web)
{
    char path[4096];
    const ep_authority *authority = ep_tls_authority(ep_web_tls(web));
    if (ep_tls_is_new(ep_web_tls(web))) {
        fprintf(stderr,
                "evenpool: made a certificate authority in %s; keep that file to yourself\n",
                authority_path(a, path, sizeof path));
    }
    fprintf(stderr, "evenpool: encrypted (https); each device must be told once to trust \"%s\":\n",
            ep_authority_name(authority));
    fprintf(stderr, "evenpool: SHA-256 %s\n", ep_authority_fingerprint(authority));
    fputs("evenpool: the http addresses above say how; let a device in from the address below\n",
          stderr);
}

// where a phone finds us; on standard error, so that a script reads one address only
static void announce_lan(const ep_args *a, const ep_web *web)
{
    ep_lan lan;
    char url[96], https[96];
    bool tls = ep_web_tls(web) != NULL;
    ep_lan_read(&lan);
    if (lan.n == 0) {
        fputs("evenpool: this computer is in no network; devices reach it once it is\n", stderr);
    }
    for (int i = 0; i < lan.n; i++) {
        fprintf(stderr, "evenpool: devices of the network %s: %s/%s%s%s\n",
                lan.address[i].interface,
                ep_lan_url(&lan, i, false, ep_web_port(web), url, sizeof url),
                tls ? " first, then " : "",
                tls ? ep_lan_url(&lan, i, true, ep_web_tls_port(web), https, sizeof https) : "",
                tls ? "/" : "");
    }
    if (tls) {
        announce_tls(a, web);
        return;
    }
    fputs("evenpool: unencrypted (http): use it in a network of your own only, or add --tls; let a "
          "device in from the address below\n",
          stderr);
}

static void announce(const ep_args *a, const ep_web *web)
{
    if (json_is_true(json_object_get(a->in, "lan"))) {
        announce_lan(a, web);
    }
    char address[64];
    snprintf(address, sizeof address, "http://127.0.0.1:%d/", ep_web_port(web));
    printf("%s\n", address);
    fflush(stdout);
    if (!ep_web_has_pages(web)) {
        fprintf(stderr, "evenpool: the pages were not built into this program; "
                        "the address above says how\n");
    }
    const char *open = ep_show_get_text(a->in, "open");
    if (strcmp(open, "yes") == 0 || (*open == '\0' && isatty(STDOUT_FILENO))) {
        open_browser(address);
    }
}

int ep_serve_run(const ep_args *a)
{
    // the threads of the door inherit the mask, so the signal comes to us
    sigset_t stop;
    sigemptyset(&stop);
    sigaddset(&stop, SIGINT);
    sigaddset(&stop, SIGTERM);
    pthread_sigmask(SIG_BLOCK, &stop, NULL);
    signal(SIGPIPE, SIG_IGN);

    ep_err err = {0};
    ep_app *app = NULL;
    ep_web *web = NULL;
    ep_clock_scale scale;
    ep_status s = start(a, &scale, &app, &web, &err);
    if (s != EP_OK) {
        if (app) {
            ep_app_close(app);
        }
        err.status = s;
        return ep_report_error(&a->on, a, &err);
    }
    announce(a, web);
    int got = 0;
    sigwait(&stop, &got);
    // stopping waits for calculations under way; who asks a second time does not want to wait, and
    // what was acknowledged is on disk
    pthread_sigmask(SIG_UNBLOCK, &stop, NULL);
    ep_web_stop(web);
    ep_app_close(app);
    return EP_EXIT_OK;
}
