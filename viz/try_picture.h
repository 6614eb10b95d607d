// viz/try_picture.h - what every picture has in common: a screen, and one line instead of a picture when something is missing
#pragma once
#include <functional>
#include <string>

namespace stifle::viz
{
/// Starts the screen and calls `draw`. No screen, or an InputError or Error thrown while `draw` reads its data (`source` names
/// them): false, with one line in `why`. Throws on what `draw` throws otherwise.
bool try_picture(const std::string &source, std::string *why, const std::function<void()> &draw);
} // namespace stifle::viz
