/// A small file that only its owner may read: written whole or not at all, never over another.
/// Needs: base. Thread use: any.
#pragma once
#include <stddef.h>

#include "base/status.h"

#define EP_KEYFILE_MAX (64u * 1024u)  ///< bytes; larger is no key file

/// The whole file.
/// @param text  out, owned, terminated: ep_keyfile_free; written only on EP_OK
/// @return EP_E_NOT_FOUND when there is none; EP_E_IO naming the file when it cannot be read, is no
///         plain file, is larger than EP_KEYFILE_MAX, or when others than its owner may read it
ep_status ep_keyfile_read(const char *path, char **text, size_t *len, ep_err *err);

/// Make the file with mode 0600: written beside under another name, brought to the disk, then given
/// its name.
/// @return EP_E_CONFLICT when there is a file of that name, which is left alone; EP_E_IO
ep_status ep_keyfile_make(const char *path, const char *text, size_t len, ep_err *err);

/// Overwrite with zeros and free. NULL is allowed.
void ep_keyfile_free(char *text, size_t len);
