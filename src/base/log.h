/// One line per event to standard error: time, level, text. No readings, no personal text.
/// Debug lines appear only with EVENPOOL_LOG=debug in the environment.
#pragma once
typedef enum ep_log_level { EP_LOG_ERROR, EP_LOG_WARN, EP_LOG_INFO, EP_LOG_DEBUG } ep_log_level;
void ep_log(ep_log_level level, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
