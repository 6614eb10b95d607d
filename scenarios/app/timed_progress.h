// scenarios/app/timed_progress.h - log lines with time left for work longer than 2 s; stops the work after an interrupt
#pragma once
#include "models/core/parallel.h"
#include <string>

namespace stifle::app
{
/// A line every 5 s after the first 2 s: "12/150 <what>, about 7 s left". Throws Interrupted from inside the work.
Progress timed_progress(const std::string &stage, const std::string &what);
} // namespace stifle::app
