/// The program's way through a search: beliefs from candles simulated once per shelf (learn) and
/// the next test (plan). It knows the jar, the wax and the series, and what the maker wrote down.
#pragma once
#include "hunt.h"

typedef struct stock stock;

/// Simulate the shelf: all sizes, from the tables' ranges. Some ten seconds of one core.
stock *stock_make(int shelf);
void stock_destroy(stock *s);

/// The search by rules N1-N7. least: candles a proof may do with when margins are wide.
void mind_hunt(hunt *h, const stock *s, int least, double day_cost);
