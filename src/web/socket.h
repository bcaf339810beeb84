/// The socket the door listens on.
/// Needs: base.
#pragma once
#include <stdbool.h>

#include "base/status.h"

/// @param field  names the port in an error
/// @param port   in: 1..65535, or 0 for any free one; out: the one got
/// @param lan    every IPv4 address of the machine instead of 127.0.0.1
/// @return EP_E_IO when the port cannot be had; *fd is owned by the caller
ep_status ep_socket_listen(const char *field, int *port, bool lan, int *fd, ep_err *err);

/// Is the other end of a connection still open both ways? Reads nothing. Thread use: any.
bool ep_socket_open(int fd);
