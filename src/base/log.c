// Log lines. A message is one line whatever it holds, so a typed newline cannot forge an entry.
#include "base/log.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/text.h"

static const char *level_name(ep_log_level level)
{
    switch (level) {
    case EP_LOG_ERROR:
        return "error";
    case EP_LOG_WARN:
        return "warn";
    case EP_LOG_INFO:
        return "info";
    case EP_LOG_DEBUG:
        return "debug";
    }
    return "?";
}

static bool wanted(ep_log_level level)
{
    if (level != EP_LOG_DEBUG) {
        return true;
    }
    const char *want = getenv("EVENPOOL_LOG");
    return want && strcmp(want, "debug") == 0;
}

void ep_log(ep_log_level level, const char *fmt, ...)
{
    if (!wanted(level)) {
        return;
    }
    char text[1024];
    va_list args;
    va_start(args, fmt);
    vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    for (char *p = text; *p; p++) {
        if ((unsigned char)*p < 0x20 || *p == 0x7F) {
            *p = ' ';
        }
    }
    char stamp[32], line[1100];
    ep_clock clock = ep_clock_system();
    ep_time_format(ep_clock_now(&clock), stamp, sizeof stamp);
    int n = snprintf(line, sizeof line, "%s %s %s\n", stamp, level_name(level), text);
    // one write per line keeps lines of several threads whole; a lost log line is no failure
    if (n > 0 && write(STDERR_FILENO, line, (size_t)n) < 0) {
        return;
    }
}
