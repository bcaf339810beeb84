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

static ep_status start(const ep_args *a, ep_app *app, ep_web **web, ep_err *err)
{
    int n = 0;
    const ep_use_case *cases = ep_use_cases(&n);
    const json_t *port = json_object_get(a->in, "port");
    ep_web_config config = {
        .app = app,
        .port = port ? (int)json_integer_value(port) : EP_WEB_DEFAULT_PORT,
        .lan = json_is_true(json_object_get(a->in, "lan")),
        .assets_dir = json_string_value(json_object_get(a->in, "assets")),
        .cases = cases,
        .n_cases = n,
    };
    return ep_web_start(&config, web, err);
}

// where a phone finds us; on standard error, so that a script reads one address only
static void announce_lan(const ep_web *web)
{
    ep_lan lan;
    char url[96];
    ep_lan_read(&lan);
    if (lan.n == 0) {
        fputs("evenpool: this computer is in no network; devices reach it once it is\n", stderr);
    }
    for (int i = 0; i < lan.n; i++) {
        fprintf(stderr, "evenpool: devices of the network %s: %s/\n", lan.address[i].interface,
                ep_lan_url(&lan, i, ep_web_port(web), url, sizeof url));
    }
    fputs(
        "evenpool: unencrypted (http): use it in a network of your own only; let a device in from "
        "the address below\n",
        stderr);
}

static void announce(const ep_args *a, const ep_web *web)
{
    if (json_is_true(json_object_get(a->in, "lan"))) {
        announce_lan(web);
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
    bool demo = json_is_true(json_object_get(a->in, "demo"));
    ep_status s = ep_workshop_open(&a->on, demo, &scale, &app, &err);
    if (s == EP_OK) {
        s = start(a, app, &web, &err);
    }
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
