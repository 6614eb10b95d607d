// viz/colour.h - colours as red, green, blue from 0 to 1, and the colour table of stress
#pragma once
#include <array>

namespace stifle::viz
{
using Colour = std::array<double, 3>;

/// Dark blue over green to yellow: lightness rises evenly, so that the order is seen in grey print and by colour-blind readers.
/// `fraction` 0 to 1 (held outside). Control points of our own, linear between them; the test checks the even rise.
Colour stress_colour(double fraction);

/// One hue, from nearly white (0) to dark blue (1), lightness falling evenly: the other way round than stress, for values on a white
/// sheet. `fraction` is held within 0 to 1.
Colour tint(double fraction);

/// CIE lightness L* of a colour (sRGB, white point D65), 0 black to 100 white.
double lightness(const Colour &colour);

/// Line colours that differ in lightness as well as in hue; used in this order.
constexpr std::array<Colour, 5> line_colours = {
    {{{0.05, 0.19, 0.42}}, {{0.78, 0.33, 0.05}}, {{0.10, 0.55, 0.45}}, {{0.55, 0.25, 0.60}}, {{0.80, 0.62, 0.10}}}};
constexpr Colour ink = {{0.12, 0.12, 0.14}}, grey = {{0.55, 0.56, 0.58}}, bone = {{0.90, 0.85, 0.74}};
} // namespace stifle::viz
