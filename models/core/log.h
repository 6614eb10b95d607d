// models/core/log.h - progress lines: elapsed time, stage, fraction done, sizes, time left; one line an event
#pragma once
#include <string>

namespace stifle
{
/// Opens log.txt in `folder` (appending) beside the screen. Thread safe. Without it only the screen is written.
void open_log(const std::string &folder);
/// [  12.4 s] stage    text
void log(const std::string &stage, const std::string &text);
void set_quiet(bool quiet); ///< screen off, file kept
double elapsed_seconds();
} // namespace stifle
