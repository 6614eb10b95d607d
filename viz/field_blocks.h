// viz/field_blocks.h - stress fields and still pictures of the states that the page shows, as named blocks of bytes
//   surface/N    packed surface (viz/surface_pack.h); meshes that several states share stand once
//   field/N      values on a surface; states that share a file stand once
//   fields.json  surfaces: points, triangles, box, parts; states: words, slope, week, which surface, field and still picture
//   still/N.jpg  what `pictures/` holds of a field file, at most 1400 pixels wide: for print and where WebGL is missing
#pragma once
#include "viz/report_page.h"
#include <utility>

namespace stifle::viz
{
/// Name and content, in the order of the states. A file that is not there leaves its state out. Throws Error on one that cannot be read.
std::vector<std::pair<std::string, std::string>> field_blocks(const std::string &folder, const std::vector<PageState> &states);
} // namespace stifle::viz
