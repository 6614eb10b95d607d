// models/core/log.h - what a run did, one line an event with the elapsed time; log.txt keeps all of it
#pragma once
#include <functional>
#include <string>

namespace stifle
{
/// Opens log.txt, or another file, in `folder` (appending). Thread safe. Without it only the screen is written.
void open_log(const std::string &folder, const std::string &name = "log.txt");
/// [  12.4 s] stage    text
void log(const std::string &stage, const std::string &text);
/// What the screen shows of each event instead of its line on standard output; called one at a time, must not log. Empty: the line.
void set_log_screen(std::function<void(const std::string &stage, const std::string &text)> screen);
double elapsed_seconds(); ///< since the program began
} // namespace stifle
