/// A disk in memory that forgets: what was written since the last sync of a file survives a power
/// cut only in part, sector by sector at random. Registered as SQLite's default file layer for a
/// test. Model of the disk: writes reach it in sectors of 512 bytes, in any order, until a sync; a
/// write changes no byte outside its range (as SQLite assumes of the disks it runs on).
#pragma once
#include <stdint.h>

/// Register it; must be called before any file is opened.
void cut_start(void);

/// Forget all files.
void cut_format(void);

/// Keep and bring back the state of the disk, all of it safely written.
void cut_keep(void);
void cut_restore(void);

/// From now on the power fails at write, truncate or sync number `after` (1 = the next one); 0 =
/// never. Every later call to the disk fails until cut_power_on.
void cut_power_off_after(int64_t after);
int64_t cut_operations(void);  ///< counted since the last cut_power_off_after
int cut_is_off(void);

/// Power comes back: unsynced sectors are kept or lost by the throw of `seed`.
void cut_power_on(uint64_t seed);
