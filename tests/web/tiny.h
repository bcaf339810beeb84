/// A make-believe app room with a table of a few cases, so that the door is tested for what it does
/// itself: every status, slow answers, parameters of every kind.
#pragma once
#include "app/app.h"

const ep_use_case *tiny_cases(int *n);
