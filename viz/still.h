// viz/still.h - a picture of the results folder made small for the page
#pragma once
#include <string>

namespace stifle::viz
{
/// The PNG file as JPEG, at most `width` pixels wide, on white. Needs no display. Throws Error when it cannot be read.
std::string small_jpeg(const std::string &png, int width);
} // namespace stifle::viz
